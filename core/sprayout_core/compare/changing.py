"""What differs between two states of a document, as values that can be told, kept and applied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.compare.state import ABSENT
from sprayout_core.documents import ATOMS, Atom, Json, Layer, Policy, atom_for, tree, value_at, with_value
from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.documents import Document

__all__ = ["Difference", "apply", "changes", "changes_between"]


@dataclass(frozen=True, slots=True)
class Difference:
    """One place that differs: its name, the layer it is told in, what stood there and what stands now.

    ABSENT stands for an empty place. `record` marks the edit record and fixed facts, which are never told.
    """

    place: str
    layer: Layer
    before: Json
    after: Json
    record: bool = False

    def data(self) -> dict[str, Json]:
        """Return the difference as plain members for JSON."""
        said: dict[str, Json] = {"place": self.place, "layer": self.layer.value}
        for name, value in (("before", self.before), ("after", self.after)):
            if value is not ABSENT:
                said[name] = value
        return said


def changes(before: Document, after: Document) -> tuple[Difference, ...]:
    """Return what differs between two states of one document, sorted by place.

    The law: `apply(before, changes(before, after)) == after`.
    """
    return changes_between(tree(before), tree(after))


def changes_between(before: Mapping[str, Json], after: Mapping[str, Json]) -> tuple[Difference, ...]:
    """Return what differs between two trees of one kind; see `changes`."""
    if before["kind"] != after["kind"]:
        raise SprayoutError(f"a {before['kind']} is not compared with a {after['kind']}", "Give two of one kind.")
    found: list[Difference] = []
    for place in sorted(_places(before) | _places(after)):
        old, new = _at(before, place), _at(after, place)
        if old is new or (old is not ABSENT and new is not ABSENT and old == new):
            continue
        atom = atom_for(before["kind"], place) or _set_row(before["kind"], place)
        layer = atom.layer if atom else Layer.WORDS
        found.append(Difference(place, layer, old, new, record=atom is None))
    return tuple(found)


def _set_row(kind: str, place: str) -> Atom | None:
    """Return the row of the set that a member belongs to."""
    row = atom_for(kind, place.partition("/")[0]) if "/" in place else None
    return row if row is not None and row.policy is Policy.SET else None


def _places(one: Mapping[str, Json]) -> set[str]:
    """Return every place of a tree at the grain of atoms; members of sets one by one."""
    rows = {row.pattern: row for row in ATOMS[one["kind"]]}
    keyed = {row.member for row in rows.values() if row.pattern.endswith("/*") or row.policy is Policy.SET}
    places: set[str] = set()
    for member, value in one.items():
        if member in keyed:
            places.update(f"{member}/{key}" for key in value)
        elif member == "mix":
            places.update(name for name in rows if name.startswith("mix") and value_at(one, name) is not None)
        else:
            places.add(member)
    return places


def _at(one: Mapping[str, Json], place: str) -> Json:
    value = value_at(one, place)
    return ABSENT if value is None else value


def apply(before: Document, differences: Sequence[Difference]) -> Document:
    """Return the state these differences lead to. Raises SprayoutError where a place holds something else."""
    from sprayout_core.documents import from_tree

    held = tree(before)
    for one in differences:
        found = _at(held, one.place)
        if found is not one.before and found != one.before:
            raise SprayoutError("does not hold what the change was made from", "Compare again.", place=one.place)
        held = with_value(held, one.place, None if one.after is ABSENT else one.after)
    return from_tree(held)
