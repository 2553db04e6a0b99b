"""Editing a document: changes as values, each taking a number of its copy, naming what it replaces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sprayout_core.compare.questions import late_edits
from sprayout_core.compare.state import ABSENT, Live, State, dissolve, rebuild
from sprayout_core.documents import (
    MIX_DISPLAY,
    Document,
    DocumentError,
    Json,
    Policy,
    atom_for,
    authoring_faults,
    copy_of,
    dot,
    from_tree,
    raised,
    tree,
)
from sprayout_core.errors import SprayoutError

__all__ = ["Add", "CannotEdit", "Change", "Put", "TakeAway", "TakeOut", "edit", "settle", "withdraw"]


class CannotEdit(SprayoutError):
    """A change that this document does not take."""


@dataclass(frozen=True, slots=True)
class Put:
    """Put a value at an atom's place."""

    atom: str
    value: Json


@dataclass(frozen=True, slots=True)
class TakeAway:
    """Leave an atom's place empty."""

    atom: str


@dataclass(frozen=True, slots=True)
class Add:
    """Add a member to a set (tags), or an item to members keyed by dot (notes, coats)."""

    member: str
    value: Json


@dataclass(frozen=True, slots=True)
class TakeOut:
    """Take a member out of a set: all its entries with this value."""

    member: str
    value: Json


Change = Put | TakeAway | Add | TakeOut


def edit(
    document: Document,
    copy: str,
    changes: Sequence[Change],
    at: str,
    names: Mapping[str, Sequence[str]] | None = None,
) -> Document:
    """Return the document after these changes, made by one copy at one time.

    names   which live edits each atom's change replaces; by default the one live edit, and while answers
            compete those of this copy only. `settle` names all.

    A change to what already stands is none. Editing a withdrawn document brings it back first. Raises
    CannotEdit for fixed facts and unknown places, DocumentError where the result is not a document.
    """
    before = tree(document)
    state = dissolve(before)
    editor = _Editor(state, copy, at, names or {})
    asked = [change for change in changes if not (isinstance(change, Put | TakeAway) and change.atom == "withdrawn")]
    if document.withdrawn is not None and asked:
        editor.put("withdrawn", ABSENT)
    for change in changes:
        editor.take(change)
    after = raised(rebuild(state))
    return document if after == before else _checked(document, from_tree(after))


def _checked(before: Document, after: Document) -> Document:
    """Refuse what breaks a rule of writing; what a join had broken before may stand."""
    old = set(authoring_faults(before))
    if fresh := [fault for fault in authoring_faults(after) if fault not in old]:
        raise DocumentError(fresh)
    return after


def settle(document: Document, copy: str, atom: str, value: Json, at: str) -> Document:
    """Return the document with a question settled: an edit that names every live answer.

    A document withdrawn before other edits were known: ABSENT brings it back, anything else withdraws it
    again. Raises CannotEdit where the atom is not in question.
    """
    answers = (document.questions or {}).get(atom)
    if answers is None and atom == "withdrawn" and late_edits(document):
        return edit(document, copy, [TakeAway(atom)], at) if value is ABSENT else withdraw(document, copy, at)
    if answers is None:
        raise CannotEdit(f"there is no question about {atom}", "See `sprayout answers`.", place=f"{document.id}/{atom}")
    change: Change = TakeAway(atom) if value is ABSENT else Put(atom, value)
    return edit(document, copy, [change], at, {atom: list(answers)})


def withdraw(document: Document, copy: str, at: str) -> Document:
    """Return the document withdrawn: it says which edits were known when it was."""
    return edit(document, copy, [Put("withdrawn", dict(document.seen))], at)


class _Editor:
    """Takes changes into a dissolved document, one number of the copy for each."""

    def __init__(self, state: State, copy: str, at: str, names: Mapping[str, Sequence[str]]) -> None:
        self.state = state
        self.copy = copy
        self.at = at
        self.names = names

    def number(self) -> str:
        count = self.state.seen.get(self.copy, 0) + 1
        self.state.seen[self.copy] = count
        return dot(self.copy, count)

    def take(self, change: Change) -> None:
        match change:
            case Put("mix", dict(value)):
                self.put_mix(value)
            case Put(atom, value):
                self.put(atom, ABSENT if value in ({}, [], "", None) else value)
            case TakeAway(atom):
                self.put(atom, ABSENT)
            case Add(member, value):
                self.add(member, value)
            case TakeOut(member, value):
                self.take_out(member, value)

    def put_mix(self, value: Mapping[str, Json]) -> None:
        """Put a mix, and how it is written as the atoms of their own that it is."""
        self.put("mix", {name: item for name, item in value.items() if name not in MIX_DISPLAY} or ABSENT)
        for name in MIX_DISPLAY:
            if name in value:
                self.put(f"mix/{name}", value[name])

    def put(self, atom: str, value: Json) -> None:
        row = atom_for(self.state.kind, atom)
        if row is None or row.policy is Policy.SET or atom.endswith("/*"):
            raise CannotEdit(
                f"{atom} cannot be changed",
                "It was written once; record a new document that supersedes this one.",
                place=f"{self.state.fixed['id']}/{atom}",
            )
        live = self.state.atoms.setdefault(atom, Live())
        if row.keyed == "dot" and not live.values:
            raise CannotEdit(f"there is no {atom}", "Add it instead.", place=f"{self.state.fixed['id']}/{atom}")
        if not live.values and value is ABSENT:
            del self.state.atoms[atom]
            return
        if len(live.values) == 1 and _is(next(iter(live.values.values())), value) and atom not in self.names:
            return
        replaced = self.names.get(atom)
        if replaced is None:
            replaced = list(live.values)
            if len(live.values) > 1 and row.policy is Policy.ASK:
                replaced = [name for name in live.values if copy_of(name) == self.copy]
        for name in replaced:
            live.values.pop(name, None)
        fresh = self.number()
        live.values[fresh] = value
        live.times = {name: live.times.get(name, self.state.implied_time(name)) for name in live.values}
        live.times[fresh] = self.at

    def add(self, member: str, value: Json) -> None:
        row = atom_for(self.state.kind, member)
        if row is not None and row.policy is Policy.SET:
            members = self.state.sets.setdefault(member, {})
            if value not in members.values():
                members[self.number()] = value
            return
        keyed = atom_for(self.state.kind, f"{member}/new")
        if keyed is None or keyed.keyed != "dot":
            raise CannotEdit(f"nothing can be added to {member}", "Put a value there instead.", place=member)
        name = self.number()
        self.state.atoms[f"{member}/{name}"] = Live({name: value}, {})

    def take_out(self, member: str, value: Json) -> None:
        row = atom_for(self.state.kind, member)
        members = self.state.sets.get(member, {})
        entries = [name for name, held in members.items() if held == value]
        if row is None or row.policy is not Policy.SET or not entries:
            raise CannotEdit(f"{value!r} is not in {member}", "Look at what stands there first.", place=member)
        for name in entries:
            del members[name]
        self.number()


def _is(held: Json, value: Json) -> bool:
    return held is value if held is ABSENT or value is ABSENT else bool(held == value)
