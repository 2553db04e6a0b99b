"""The live values of a document's atoms, and the document that a set of live values makes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from sprayout_core.documents import (
    FIXED,
    Atom,
    Json,
    Policy,
    atom_for,
    atoms_of,
    dot_order,
    implied_dot,
    value_at,
    with_value,
)
from sprayout_core.errors import SprayoutError

__all__ = ["ABSENT", "UNTOLD", "Live", "State", "dissolve", "rebuild"]


class _Absent:
    """The value of an atom that was taken away."""

    def __repr__(self) -> str:
        return "ABSENT"


ABSENT: Json = _Absent()

#: Stands where a time must be written and none is known.
UNTOLD = "0001-01-01T00:00:00Z"

_HEAD = ("format", "kind", "id", "provenance")


@dataclass(slots=True)
class Live:
    """The live values of one atom by dot, and the time of each edit where the record names it."""

    values: dict[str, Json] = field(default_factory=dict)
    times: dict[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class State:
    """A document taken apart: fixed facts, what it has seen, live values of atoms, members of sets."""

    made: str
    seen: dict[str, int]
    fixed: dict[str, Json]
    atoms: dict[str, Live]
    sets: dict[str, dict[str, Json]]

    @property
    def kind(self) -> str:
        """The kind of document."""
        kind: str = self.fixed["kind"]
        return kind

    def implied_time(self, dot: str) -> str:
        """The time of an edit that the record does not name.

        For the making of the document its provenance tells; that of an item is not told, and must not be
        guessed from the provenance, which one id made on both sides may change.
        """
        time: str = self.fixed["provenance"]["at"] if dot == self.made else UNTOLD
        return time


def dissolve(tree: Mapping[str, Json]) -> State:
    """Return a document's tree taken apart into live values."""
    kind = tree["kind"]
    fixed = {name: tree[name] for name in (*_HEAD, *FIXED.get(kind, ())) if name in tree}
    state = State(tree["made"], dict(tree["seen"]), fixed, {}, {})
    for name, atom in atoms_of(tree):
        if atom.policy is Policy.SET:
            state.sets[name] = dict(tree[name])
        else:
            state.atoms[name] = _live(tree, name, atom)
    return state


def _live(tree: Mapping[str, Json], name: str, atom: Atom) -> Live:
    times = tree.get("edits", {}).get(name, {})
    answers = tree.get("questions", {}).get(name)
    if answers is not None:
        values = {dot: answer.get("value", ABSENT) for dot, answer in answers.items()}
        return Live(values, dict(times))
    value = value_at(tree, name)
    if times:
        return Live(dict.fromkeys(times, ABSENT if value is None else value), dict(times))
    return Live({implied_dot(tree["made"], name, atom): value}, {})


def rebuild(state: State) -> dict[str, Json]:
    """Return the tree that the live values make: the inverse of `dissolve`."""
    tree: dict[str, Json] = dict(state.fixed)
    tree["made"] = state.made
    tree["seen"] = state.seen
    edits: dict[str, Json] = {}
    questions: dict[str, Json] = {}
    for name, live in state.atoms.items():
        atom = atom_for(state.kind, name)
        if atom is None or not live.values:
            raise SprayoutError(f"{name} has no live value")
        shown = _shown(live, atom)
        if shown is not ABSENT:
            tree = with_value(tree, name, shown)
        if _agreed(live) is None:
            questions[name] = {dot: ({} if value is ABSENT else {"value": value}) for dot, value in live.values.items()}
        if set(live.values) != {implied_dot(state.made, name, atom)}:
            edits[name] = {dot: live.times.get(dot, state.implied_time(dot)) for dot in live.values}
    tree.update({name: dict(members) for name, members in state.sets.items() if members})
    if edits:
        tree["edits"] = edits
    if questions:
        tree["questions"] = questions
    return tree


def _agreed(live: Live) -> list[Json] | None:
    """Return the one value that all live edits give (in a list, since it may be absent), or None."""
    values: Iterator[Json] = iter(live.values.values())
    first = next(values)
    return [first] if all(value is first or value == first for value in values) else None


def _shown(live: Live, atom: Atom) -> Json:
    agreed = _agreed(live)
    if agreed is not None:
        return agreed[0]
    if atom.policy is Policy.ASK:
        return ABSENT
    if atom.policy is Policy.WITHDRAWAL and any(value is ABSENT for value in live.values.values()):
        return ABSENT
    return live.values[min(live.values, key=dot_order)]
