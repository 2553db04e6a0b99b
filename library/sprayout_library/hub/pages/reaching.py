"""Which mix reaches this colour: every whole-number ratio tried over the grounds there are, best first."""

from __future__ import annotations

from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit

__all__ = ["reach"]

_GROUNDS = ("metallic", "solid", "sealer")
#: Pieces offered as the aim, the newest first.
_MOST = 60


def reach(visit: Visit) -> Reply:
    """Show the form; with an aim, ways to it."""
    asked = visit.asked
    panels = visit.seen.in_order(visit.store, "measured", lambda found: _measured_first(found, visit))[:_MOST]
    over = visit.names.entries.get(asked.said("over"))
    shown: dict[str, Any] = {
        "pieces": [(one.id, visit.called(one.id)) for one in panels],
        "grounds": [entry for entry in visit.names.of_kind("material") if entry.role in _GROUNDS],
        "piece": asked.said("piece"), "said": {axis: asked.said(axis) for axis in "Lab"},
        "but": asked.said("but")[:200],
        "over": over.id if over else "", "coats": asked.said("coats", "1 to 8")[:40], "found": None,
    }  # fmt: skip
    if not shown["piece"] and not all(shown["said"].values()):
        return Reply("reach.html", shown)
    try:
        return Reply("reach.html", shown | {"found": _reached(visit, shown)})
    except SprayoutError as error:
        return Reply("reach.html", shown | {"faults": error.faults}, 422)


def _measured_first(panels: list[Any], visit: Visit) -> None:
    light = visit.lightness()
    panels.sort(key=lambda one: (one.at, one.id), reverse=True)
    panels.sort(key=lambda one: one.id not in light)


def _reached(visit: Visit, shown: dict[str, Any]) -> Any:
    from sprayout_library.film.aims import wish_from_words
    from sprayout_library.film.reaching import reach as ways_to

    aim = visit.names.label(shown["piece"]) if shown["piece"] else " ".join(shown["said"][axis] for axis in "Lab")
    wish = wish_from_words(shown["but"]) if shown["but"] else None
    over = [visit.names.label(shown["over"])] if shown["over"] else []
    return ways_to(visit.store, visit.names, aim.replace(",", "."), wish, over=over, coats=shown["coats"])
