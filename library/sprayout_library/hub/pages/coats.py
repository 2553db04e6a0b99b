"""How many coats is this? A piece, or typed L*a*b*, laid beside the step card of a recipe."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.pieces import Band
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.film import CoatCount

__all__ = ["coats"]


@dataclass(frozen=True, slots=True)
class Laid:
    """What is laid beside the card: how it is called, its L*a*b*, the geometry it was read in."""

    name: str
    lab: tuple[float, float, float]
    geometry: str


def coats(visit: Visit) -> Reply:
    """Show the form; with a reading, how many coats of the card it comes to."""
    recipe = visit.store.get(visit.asked.parts["id"])
    if not isinstance(recipe, Recipe):
        raise NotThere("which recipe?", "Choose one of this library.")
    panels = [one for one in visit.panels_of(recipe) if not one.withdrawn]
    cards = [one for one in reversed(panels) if len(one.steps or {}) > 2]
    pieces = [one for one in reversed(panels) if not one.steps][:60]
    asked = visit.asked
    shown: dict[str, Any] = {
        "recipe": recipe, "cards": [(one.id, _called(one.id, visit)) for one in cards[:60]],
        "pieces": [(one.id, _called(one.id, visit)) for one in pieces], "card": asked.said("card"),
        "piece": asked.said("piece"), "said": {axis: asked.said(axis) for axis in "Lab"}, "found": None, "laid": None,
        "steps": [], "view": "",
    }  # fmt: skip
    if not (shown["piece"] or any(shown["said"].values())):
        return Reply("coats.html", shown)
    try:
        return Reply("coats.html", shown | _counted(visit, shown))
    except SprayoutError as error:
        return Reply("coats.html", shown | {"faults": error.faults}, 422)


def _called(panel: str, visit: Visit) -> str:
    hung = visit.hung[panel]
    return hung.name + (f", over {visit.names.label(hung.ground.id)}" if hung.ground else "")


def _counted(visit: Visit, shown: dict[str, Any]) -> dict[str, Any]:
    from sprayout_library.record.between import views_of

    cards = dict(shown["cards"])
    piece = visit.pieces([shown["piece"]]).get(shown["piece"])
    chosen = shown["card"]
    if not chosen and piece is not None:
        chosen = next((one for one in cards if _ground(one, visit) == _ground(piece.id, visit)), "")
    if chosen not in cards:
        raise SprayoutError(
            "there is no step card to lay it beside", "Spray one over this ground, and measure its steps."
        )
    bands = [band for band in visit.pieces([chosen])[chosen].bands if band.coats is not None]
    if len(bands) < 3:
        raise SprayoutError(f"{cards[chosen]} has fewer than three measured steps", "Measure its steps first.")
    if piece is not None:
        if not piece.bands:
            raise SprayoutError(f"{piece.name} has no reading", "Measure it, or type what the meter says.")
        facet = _shared(piece.bands[-1], bands[0])
        laid = Laid(piece.name, facet.lab, facet.geometry)
    else:
        laid = Laid("what you typed", _typed(shown["said"]), bands[0].facets[0].geometry)
    found = _beside(bands, laid, visit)
    return {
        "found": found, "laid": laid, "card": chosen, "card_name": cards[chosen],
        "view": str(views_of(visit.store, [])[0]),
        "steps": [(band.name, _at(band, laid.geometry)) for band in bands], "swatch": _swatch(laid, visit),
    }  # fmt: skip


def _ground(panel: str, visit: Visit) -> str:
    hung = visit.hung.get(panel)
    return hung.ground.id if hung and hung.ground else ""


def _shared(one: Band, other: Band) -> Any:
    known = {facet.geometry for facet in other.facets}
    found = next((facet for facet in one.facets if facet.geometry in known), None)
    if found is None:
        raise SprayoutError("card and piece were not measured in one geometry", "Measure both in the same way.")
    return found


def _at(band: Band, geometry: str) -> Any:
    return next(facet for facet in band.facets if facet.geometry == geometry)


def _typed(said: dict[str, str]) -> tuple[float, float, float]:
    found = []
    for axis, low, high in (("L", 0.0, 130.0), ("a", -200.0, 200.0), ("b", -200.0, 200.0)):
        text = said[axis].replace(",", ".").replace("−", "-")
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            raise SprayoutError(f"{axis}* is {said[axis]!r}", f"Type a number from {low:g} to {high:g}.")
        found.append(value)
    L, a, b = found
    return L, a, b


def _beside(bands: list[Band], laid: Laid, visit: Visit) -> CoatCount:
    """Return the count, by the three channels that the colours are under the library's light."""
    import numpy as np

    from sprayout_core.film import StepCard, coats_of

    if any(laid.geometry not in {facet.geometry for facet in band.facets} for band in bands):
        raise SprayoutError(f"not every step was measured at {laid.geometry}", "Measure the whole card in one way.")
    counts = np.array([float(band.coats or 0) for band in bands])
    channels = np.array([_channels(_at(band, laid.geometry).lab, visit) for band in bands])
    return coats_of(StepCard(counts, np.maximum(channels, 1e-4)), np.maximum(_channels(laid.lab, visit), 1e-4))


def _channels(lab: tuple[float, float, float], visit: Visit) -> npt.NDArray[np.float64]:
    """Return a colour as three channels that are linear in light, 1 for white."""
    import numpy as np

    from sprayout_core.light import white, xyz
    from sprayout_library.record.between import views_of

    (view,) = views_of(visit.store, [])
    reference = np.asarray(white(view, np.arange(400.0, 701.0, 10.0)))
    found: npt.NDArray[np.float64] = np.asarray(xyz(np.array(lab), reference)) / reference
    return found


def _swatch(laid: Laid, visit: Visit) -> str:
    from sprayout_core.light import hexadecimal, srgb
    from sprayout_library.record.between import views_of

    (view,) = views_of(visit.store, [])
    return hexadecimal(srgb(list(laid.lab), view).rgb)
