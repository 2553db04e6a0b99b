"""A new bottle of a dye beside the old lot: how strong it is, whether it is another colour, what that does to mixes."""

from __future__ import annotations

from typing import Any

from sprayout_core.documents import Material
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.rack import Newest, newest_first
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

__all__ = ["bottle"]

#: Panels offered, and mixes corrected at once.
_MOST, _MIXES = 60, 6


def bottle(visit: Visit) -> Reply:
    """Show the form; with pieces sprayed from the new bottle, or its lot, what it does."""
    material = visit.store.get(visit.asked.parts["id"])
    if not isinstance(material, Material):
        raise NotThere("bottles are of materials", "Choose a dye.")
    asked = visit.asked
    panels = visit.seen.in_order(visit.store, "new", newest_first, Newest)[:_MOST]
    shown: dict[str, Any] = {
        "material": material, "panels": [(one.id, visit.called(one.id)) for one in panels],
        "lots": list(dict.fromkeys((material.lots or {}).values())), "lot": asked.said("lot"),
        "new": [one for one in asked.all("new") if one in visit.hung],
        "old": [one for one in asked.all("old") if one in visit.hung], "found": None,
        "mixes": [entry for entry in visit.names.of_kind("formula") if not entry.withdrawn][:_MOST],
        "chosen": [one for one in asked.all("mix") if one in visit.names.entries][:_MIXES],
    }  # fmt: skip
    if not shown["new"] and not shown["lot"]:
        return Reply("bottle.html", shown)
    try:
        return Reply("bottle.html", shown | {"found": _checked(visit, material, shown)})
    except SprayoutError as error:
        return Reply("bottle.html", shown | {"faults": error.faults}, 422)


def _checked(visit: Visit, material: Material, shown: dict[str, Any]) -> Any:
    from sprayout_library.film.bottles import bottle_check

    label = visit.names.label
    new, old = ([label(one) for one in shown[name]] for name in ("new", "old"))
    mixes = [label(one) for one in shown["chosen"]]
    return bottle_check(visit.store, visit.names, material.name, new, old, shown["lot"], mixes)
