"""Mixes and recipes on their page: what they are made of, what was sprayed of them, what a stranger would guess."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from sprayout_core.compare import Status, recipe_status, status, written_ratio
from sprayout_core.documents import Document, Formula, Panel, Recipe, SprayReady
from sprayout_library.hub.pages.foretold import cards_of, foretold_of
from sprayout_library.hub.pages.guessed import guessed
from sprayout_library.hub.pages.layers import direct_parts, flat_or_reason, stack_of
from sprayout_library.hub.pages.panel import in_lights
from sprayout_library.hub.pages.told import Told
from sprayout_library.hub.pages.units import strainer
from sprayout_library.hub.pages.visit import Visit

__all__ = ["formula_told", "ready_words", "recipe_told"]

#: Pieces shown on the page itself; the others hang on the wall.
_MOST = 16


def formula_told(document: Document, visit: Visit) -> Told:
    """Return what a mix's page shows."""
    assert isinstance(document, Formula)
    flat, unknown = flat_or_reason(document, visit)
    ready = [(name, ready_words(one, visit)) for name, one in sorted((document.spray_ready or {}).items())]
    written = written_ratio(document, visit.names.label) if document.mix else ""
    parts = direct_parts(document, visit)
    same = {share.name for share in flat} == {share.name for share in parts}
    return Told(
        [("written", written)] if written else [],
        {"parts": parts, "flat": [] if same else flat, "unknown": unknown, "ready": ready, **_sprayed(document, visit)},
    )


def ready_words(variant: SprayReady, visit: Visit) -> str:
    """Return what is done to a mix for the gun, in words."""
    from sprayout_core.ratio import decimal_text, exact

    told = []
    if variant.reduce:
        percent = decimal_text(exact(variant.reduce.parts) * 100)
        which = visit.names.label(variant.reduce.material) if variant.reduce.material else "reducer"
        told.append(f"{percent} % {which} {'on top of the mix' if variant.reduce.of == 'mix' else 'within the whole'}")
    if variant.strain and variant.strain.pour:
        told.append(f"strained {strainer(variant.strain.pour.opening_um)} at the pour")
    if variant.strain and variant.strain.gun:
        told.append(f"strained {strainer(variant.strain.gun.opening_um)} in the gun cup")
    told += [f"{variant.tip_mm} mm tip"] if variant.tip_mm else []
    told += [f"laid {variant.laid}"] if variant.laid else []
    return ", ".join([*told, *([variant.gun] if variant.gun else [])]) or "as mixed"


def _sprayed(document: Formula | Recipe, visit: Visit) -> dict[str, Any]:
    panels = [one for one in visit.panels_of(document) if not one.withdrawn]
    shown = list(visit.pieces([one.id for one in reversed(panels[-_MOST:])]).values())
    found: dict[str, Any] = {"pieces": shown, "more_pieces": len(panels) - len(shown)}
    if isinstance(document, Formula) and document.slots:
        return found
    told = _status(document, cast("Iterable[Panel]", panels), visit)
    over = [(visit.names.label(ground), one.state.value) for ground, one in told.grounds.items()]
    return {**found, "status": told, "over": over, "gaps": guessed(document, visit)}


def _status(document: Formula | Recipe, panels: Iterable[Panel], visit: Visit) -> Status:
    """Return whether it was sprayed as it stands: the rule asks for no more of a panel than the wall knows."""
    if isinstance(document, Recipe):
        return recipe_status(document, panels, visit.find)
    return status(document, panels, visit.find)


def recipe_told(document: Document, visit: Visit) -> Told:
    """Return what a recipe's page shows."""
    assert isinstance(document, Recipe)
    layers, scale = stack_of(document, visit)
    mixes = []
    for _, coat in document.coats_in_order():
        formula = visit.find(coat.formula)
        if isinstance(formula, Formula):
            mixes.append((coat, formula, direct_parts(formula, visit)))
    standards = [
        (visit.names.label(ground), one.panel, "/".join(filter(None, (one.step, (one.zone or "").replace("_", " ")))))
        for ground, one in (document.standards or {}).items()
    ]
    more = {"layers": layers, "scale": scale, "mixes": mixes, "standards": standards, **_sprayed(document, visit)}
    foretold = foretold_of(document, visit)
    more |= {"cards": cards_of(document, visit, foretold), "foretold": foretold, **_lit(document, visit)}
    return Told([], more)


def _lit(recipe: Recipe, visit: Visit) -> dict[str, Any]:
    """Return the standard, or else the piece measured last, in the lights of a shop."""
    chosen = [one.panel for one in (recipe.standards or {}).values()]
    pieces = visit.pieces([*chosen, *(one.id for one in reversed(visit.panels_of(recipe)[-_MOST:]))])
    measured = [one for one in pieces.values() if one.bands]
    piece = next((one for one in measured if one.kind != "card"), measured[0] if measured else None)
    if piece is None:
        return {}
    return {"lights": in_lights(piece.id, visit), "standard": piece}
