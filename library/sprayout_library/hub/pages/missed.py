"""A piece that came out otherwise than its standard: how, what it looks like, what to change; blending a spot in."""

from __future__ import annotations

from typing import Any

from sprayout_core.documents import Formula, Panel, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

__all__ = ["missed", "repair"]


def missed(visit: Visit) -> Reply:
    """Show how a piece differs from its standard or another piece, what that looks like, and what to change."""
    panel = visit.store.get(visit.asked.parts["id"])
    if not isinstance(panel, Panel):
        raise NotThere("no piece stands at this address", "Choose one on the wall.")
    against = visit.asked.said("against")
    held = visit.hung.get(against)
    shown: dict[str, Any] = {
        "panel": panel, "pieces": visit.alike(panel), "against": against, "why": None, "ways": None, "because": [],
    }  # fmt: skip
    toward = visit.names.label(against) if held else None
    for name, work in (("why", _why), ("ways", _ways)):
        try:
            shown[name] = work(visit, panel, toward)
        except SprayoutError as error:
            shown["because"].append(error.fault)
    return Reply("missed.html", shown)


def _why(visit: Visit, panel: Panel, toward: str | None) -> Any:
    from sprayout_library.film.reproducing import reproduce

    return reproduce(visit.store, visit.names, panel.id, toward)


def _ways(visit: Visit, panel: Panel, toward: str | None) -> Any:
    from sprayout_library.film.correcting import correct_from_panel

    if panel.recipe is None:
        raise SprayoutError("it was sprayed of no recipe", "Only a recipe is corrected.")
    return correct_from_panel(visit.store, visit.names, panel.recipe, panel.id, toward)


def repair(visit: Visit) -> Reply:
    """Show what blending a spot in will show, over each ground of a recipe or of a mix."""
    from sprayout_library.film.repairing import repair as blended

    document = visit.store.get(visit.asked.parts["id"])
    if not isinstance(document, Recipe | Formula):
        raise NotThere("only a recipe or a mix is blended in", "Choose one of these.")
    text = visit.asked.said("coats")
    shown: dict[str, Any] = {"document": document, "coats": text, "found": None}
    if isinstance(document, Formula) and not text:
        return Reply("repair.html", shown)
    try:
        coats = _coats(text)
        shown["found"] = blended(visit.store, visit.names, document.name, coats=coats)
    except SprayoutError as error:
        return Reply("repair.html", shown | {"faults": error.faults}, 422 if text else 200)
    return Reply("repair.html", shown)


def _coats(text: str) -> float | None:
    if not text:
        return None
    if not text.isdecimal() or not 1 <= int(text) <= 40:
        raise SprayoutError(f"{text[:20]!r} is no number of coats", "Give 1 to 40.")
    return float(text)
