"""A recipe's card on one page: what anybody needs to spray it, with its cautions, and nothing of who, when or why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from sprayout_core.compare import written_ratio
from sprayout_core.documents import Coat, Formula, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.careful import cautions_of
from sprayout_library.hub.pages.layers import Share, direct_parts, stack_of
from sprayout_library.hub.pages.pieces import Piece
from sprayout_library.hub.pages.sprayed import ready_words
from sprayout_library.hub.pages.told import coats_said
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

__all__ = ["card_of", "change", "given", "public_card"]

#: Mixes on a card, those inside others among them.
_MOST = 40


def given(visit: Visit) -> Reply:
    """Show the card as everybody would see it, and the public links that lead to it."""
    recipe = _recipe(visit, visit.asked.parts["id"])
    links = visit.links.of(recipe.id) if visit.links else ()
    shown = {"linked": visit.links is not None, "links": links, "address": ""}
    return Reply("given.html", {**card_of(recipe, visit), **shown})


def change(visit: Visit) -> Reply:
    """Make a public link, or withdraw one."""
    visit.writer()
    recipe, asked = _recipe(visit, visit.asked.parts["id"]), visit.asked
    if visit.links is None:
        raise SprayoutError("nobody else can reach these pages", "A hub gives public links; a packet goes by any way.")
    if asked.said("do") == "withdraw":
        visit.links.withdraw(recipe.id, asked.said("link"))
        return visit.go(f"/share/card/{recipe.id}")
    if asked.said("do") != "make":
        raise SprayoutError("what is to be done?", "Make a link, or withdraw one.")
    address = visit.links.make(recipe.id)
    shown = {"linked": True, "links": visit.links.of(recipe.id), "address": address}
    return Reply("given.html", {**card_of(recipe, visit), **shown})


def public_card(visit: Visit, identity: str) -> Reply:
    """Return the card for somebody who has its link. Raises NotThere."""
    return Reply("public_card.html", card_of(_recipe(visit, identity), visit))


def _recipe(visit: Visit, identity: str) -> Recipe:
    found = visit.store.get(identity)
    if not isinstance(found, Recipe) or found.withdrawn is not None:
        raise NotThere("there is no such recipe", "It was taken out of use, or stands in another library.")
    return found


def card_of(recipe: Recipe, visit: Visit) -> dict[str, Any]:
    """Return what a card shows: names of things and amounts; no person, shop, note, label, version or address."""
    layers, scale = stack_of(recipe, visit)
    return {
        "recipe_id": recipe.id, "title": recipe.name, "layers": layers, "scale": scale,
        "coats": [(visit.names.label(coat.formula), _coat_words(coat)) for _, coat in recipe.coats_in_order()],
        "mixes": _mixes(recipe, visit), "swatches": _swatches(recipe, visit),
        "cautions": cautions_of(recipe, visit.find),
    }  # fmt: skip


def _coat_words(coat: Coat) -> str:
    told = [coats_said(coat.count)]
    told += [f"through {coat.spray_ready}"] if coat.spray_ready else []
    told += [f"laid {coat.laid}"] if coat.laid else []
    told += [f"dry to {coat.dry.until}"] if coat.dry else []
    return ", ".join(told)


@dataclass(frozen=True, slots=True)
class MixGiven:
    """A mix: its name, its line, its parts as a bar, how it is made spray-ready."""

    name: str
    line: str
    parts: list[Share]
    ready: list[tuple[str, str]]


def _mixes(recipe: Recipe, visit: Visit) -> list[MixGiven]:
    """Return every mix of the recipe, and every mix inside one."""
    waiting = [coat.formula for _, coat in recipe.coats_in_order()]
    found: dict[str, MixGiven] = {}
    while waiting and len(found) < _MOST:
        key = waiting.pop(0)
        formula = None if key in found else visit.store.get(key)
        if not isinstance(formula, Formula):
            continue
        ready = [(name, ready_words(one, visit)) for name, one in sorted((formula.spray_ready or {}).items())]
        parts = [replace(part, href="") for part in direct_parts(formula, visit)]
        line = written_ratio(formula, visit.names.label) if formula.mix else ""
        found[key] = MixGiven(formula.name, line, parts, ready)
        waiting += (formula.mix.items if formula.mix else None) or {}
    return list(found.values())


def _swatches(recipe: Recipe, visit: Visit) -> list[Piece]:
    """Return a measured piece for each ground, the standard where there is one; without what it is called."""
    standards = {ground: one.panel for ground, one in (recipe.standards or {}).items()}
    hung = [one for one in reversed(visit.panels_of(recipe)) if not one.withdrawn]
    chosen = []
    for ground in dict.fromkeys(one.id for one in (recipe.grounds or {}).values()):
        here = [one.id for one in hung if one.ground and one.ground.id == ground]
        order = [*([standards[ground]] if ground in standards else []), *here]
        pieces = visit.pieces(order[:12])
        chosen += [one for one in pieces.values() if one.bands][:1]
    return [_unnamed(piece, number) for number, piece in enumerate(chosen, 1)]


def _unnamed(piece: Piece, number: int) -> Piece:
    name = f"over {piece.over}" if piece.over else f"piece {number}"
    bands = tuple(replace(band, name=name) if band.name == piece.name else band for band in piece.bands)
    return replace(piece, id=f"given-{number}", name=name, bands=bands)
