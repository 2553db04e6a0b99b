"""How many coats is this? A piece, or typed L*a*b*, laid beside the step card of a recipe."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.pieces import Facet, facets_of
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

if TYPE_CHECKING:
    from sprayout_library.film.counting import Counted

__all__ = ["coats"]

#: Cards and pieces offered, the newest first.
_MOST = 60


def coats(visit: Visit) -> Reply:
    """Show the form; with a reading, how many coats of the card it comes to."""
    recipe = visit.store.get(visit.asked.parts["id"])
    if not isinstance(recipe, Recipe):
        raise NotThere("which recipe?", "Choose one of this library.")
    panels = [one for one in reversed(visit.panels_of(recipe)) if not one.withdrawn]
    asked = visit.asked
    shown: dict[str, Any] = {
        "recipe": recipe,
        "cards": [(one.id, visit.called(one.id)) for one in panels if len(one.steps or {}) > 2][:_MOST],
        "pieces": [(one.id, visit.called(one.id)) for one in panels if not one.steps][:_MOST],
        "card": asked.said("card"), "piece": asked.said("piece"), "said": {axis: asked.said(axis) for axis in "Lab"},
        "found": None, "name": "", "beside": [], "card_name": "",
    }  # fmt: skip
    if not (shown["piece"] or any(shown["said"].values())):
        return Reply("coats.html", shown)
    try:
        return Reply("coats.html", shown | _counted(visit, shown))
    except SprayoutError as error:
        return Reply("coats.html", shown | {"faults": error.faults}, 422)


def _counted(visit: Visit, shown: dict[str, Any]) -> dict[str, Any]:
    from sprayout_library.film.counting import count_coats, typed_coats

    cards, pieces = dict(shown["cards"]), dict(shown["pieces"])
    card, piece = shown["card"], shown["piece"]
    if (card and card not in cards) or (piece and piece not in pieces):
        raise SprayoutError("that piece is not of this recipe any more", "Choose one of those offered.")
    if piece:
        found = count_coats(visit.store, visit.names, piece, card or None)
        name, facet = visit.hung[piece].name, _facet_of(piece, found, visit)
    else:
        if not card:
            raise SprayoutError("beside which step card?", "Choose the one over the same ground.")
        lab = _typed(shown["said"])
        found = typed_coats(visit.store, visit.names, lab, card)
        name, facet = "what you typed", _facet({found.geometries[0] if found.geometries else "": lab}, visit)
    chosen = card or next((one for one in cards if visit.hung[one].name == found.card), "")
    beside = _beside(chosen, facet, visit) if chosen and facet else []
    return {"found": found, "name": name, "beside": beside, "card_name": cards.get(chosen, found.card)}


def _facet(labs: dict[str, tuple[float, float, float]], visit: Visit) -> Facet:
    return facets_of(labs, visit.view)[0]


def _facet_of(piece: str, found: Counted, visit: Visit) -> Facet | None:
    bands = visit.pieces([piece])[piece].bands
    return next((one for band in bands for one in band.facets if one.geometry in found.geometries), None)


def _beside(card: str, facet: Facet, visit: Visit) -> list[tuple[str, Facet, Facet]]:
    """Return each step of a card with the piece beside it, as both look in one geometry."""
    found = []
    for band in visit.pieces([card])[card].bands:
        step = next((one for one in band.facets if one.geometry == facet.geometry), None)
        if step is not None and band.coats is not None:
            found.append((band.name, step, facet))
    return found


def _typed(said: dict[str, str]) -> tuple[float, float, float]:
    found = []
    for axis, low, high in (("L", 0.0, 130.0), ("a", -200.0, 200.0), ("b", -200.0, 200.0)):
        text = said[axis].replace(",", ".").replace("−", "-")
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            raise SprayoutError(f"{axis}* is {said[axis][:20]!r}", f"Type a number from {low:g} to {high:g}.")
        found.append(value)
    L, a, b = found
    return L, a, b
