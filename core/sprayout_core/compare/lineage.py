"""Where a document comes from: the difference to its parent, and the fillings of a house ratio with their status."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.compare.changing import Difference, changes_between
from sprayout_core.compare.proven import Status, status
from sprayout_core.compare.telling import Line, Naming, tell_differences, with_coats
from sprayout_core.documents import ATOMS, Find, Json, digest, dot_order, tree
from sprayout_core.errors import SprayoutError
from sprayout_core.mix.house import HouseFilling, house_filling

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Formula, Panel

__all__ = ["Descent", "FilledStatus", "aligned", "descent", "fillings", "tell_descent"]


@dataclass(frozen=True, slots=True)
class Descent:
    """A version beside its parent.

    differences      what differs now, items told apart by what they say and not by who wrote them
    parent_changed   whether the parent was changed since the version was derived
    """

    differences: tuple[Difference, ...]
    parent_changed: bool


@dataclass(frozen=True, slots=True)
class FilledStatus:
    """A formula filled from a house ratio: how it stands to it now, and whether it was sprayed."""

    filling: HouseFilling
    status: Status


def descent(child: Document, parent: Document) -> Descent:
    """Return how our version differs from its parent as both stand now.

    Raises SprayoutError where the parent is another document than the one it was derived from.
    """
    derived = child.provenance.derived
    if derived is None or derived.id != parent.id:
        raise SprayoutError(f"{child.name} was not derived from {parent.name}", "Give the document it names.")
    before, after = tree(parent), tree(child)
    found = changes_between(before, aligned(before, after))
    told = tuple(one for one in found if not one.record)
    return Descent(told, digest(parent) != derived.digest)


def tell_descent(child: Document, parent: Document, name: Naming) -> tuple[Line, ...]:
    """Return how our version differs from its parent, line by line; raises as `descent` does."""
    before = tree(parent)
    named = with_coats(descent(child, parent).differences, before, aligned(before, tree(child)), name)
    return tuple(tell_differences(named, name))


def aligned(before: Mapping[str, Json], after: Mapping[str, Json]) -> dict[str, Json]:
    """Return the version's tree with its items under the parent's keys: equal ones first, then in order."""
    aligned = dict(after)
    for row in ATOMS[before["kind"]]:
        if row.keyed != "dot" or row.member not in after:
            continue
        names = _names(before, after, row.member)
        aligned[row.member] = {names[key]: item for key, item in after[row.member].items()}
        if row.member == "coats" and "coats_order" in after:
            aligned["coats_order"] = [names.get(key, key) for key in after["coats_order"]]
    return aligned


def _names(before: Mapping[str, Json], after: Mapping[str, Json], member: str) -> dict[str, str]:
    left = {key: before[member][key] for key in _in_order(before, member)}
    names: dict[str, str] = {}
    rest = []
    for key in _in_order(after, member):
        same = next((other for other, item in left.items() if item == after[member][key]), None)
        if same is None:
            rest.append(key)
        else:
            names[key] = same
            del left[same]
    for key in rest:
        names[key] = next(iter(left), key)
        left.pop(names[key], None)
    return names


def _in_order(plain: Mapping[str, Json], member: str) -> list[str]:
    held = plain.get(member, {})
    order = [key for key in plain.get("coats_order", ()) if key in held] if member == "coats" else []
    return order + sorted(set(held) - set(order), key=dot_order)


def fillings(
    pattern: Formula, formulas: Iterable[Formula], panels: Iterable[Panel], find: Find
) -> tuple[FilledStatus, ...]:
    """Return every formula that was filled from a house ratio: which now differ from it, and which were sprayed."""
    held = list(panels)
    found = []
    for formula in formulas:
        filling = formula.provenance.filling
        if filling is not None and filling.pattern == pattern.id:
            found.append(FilledStatus(house_filling(formula, pattern), status(formula, held, find)))
    return tuple(sorted(found, key=lambda one: one.filling.formula))
