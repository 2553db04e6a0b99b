"""Rules of the edit record that no type can say: dots are known, questions real, places agree with them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from sprayout_core.documents.atoms import ATOMS, Policy, atom_for, implied_dot, value_at
from sprayout_core.documents.identity import copy_of, dot_order, number_of
from sprayout_core.documents.json_value import Json
from sprayout_core.documents.spelling import DOT_PATTERN
from sprayout_core.errors import Fault

__all__ = ["dots_in", "edit_faults", "record_faults"]

_DOT = re.compile(DOT_PATTERN, re.ASCII)


def dots_in(tree: Mapping[str, Json]) -> Iterator[tuple[str, str]]:
    """Yield (place, dot) of every dot that a document's tree names."""
    if isinstance(tree.get("made"), str):
        yield "made", tree["made"]
    for member in ("edits", "questions"):
        for atom, dots in _members(tree, member):
            for dot in dots if isinstance(dots, dict) else ():
                yield f"{member}/{atom}/{dot}", dot
    for row in ATOMS.get(str(tree.get("kind")), ()):
        if row.keyed == "dot":
            for dot, _ in _members(tree, row.member):
                yield f"{row.member}/{dot}", dot


def _members(tree: Mapping[str, Json], name: str) -> list[tuple[str, Json]]:
    held = tree.get(name)
    return list(held.items()) if isinstance(held, dict) else []


def record_faults(tree: Mapping[str, Json]) -> Iterator[Fault]:
    """Yield every fault of a document's edit record. Safe on trees whose members are of the wrong type."""
    yield from _unseen_dots(tree)
    yield from _keyed_twice(tree)
    for atom, dots in _members(tree, "questions"):
        yield from _question_faults(tree, atom, dots)
    for atom, dots in _members(tree, "edits"):
        yield from edit_faults(tree, atom, dots)
    yield from _withdrawal_faults(tree)


def edit_faults(tree: Mapping[str, Json], atom: str, dots: Json) -> Iterator[Fault]:
    """Yield what is wrong with the edits that a document of this kind and making names for an atom."""
    place = f"edits/{atom}"
    row = atom_for(str(tree["kind"]), atom)
    if row is None or row.policy is Policy.SET or atom == row.member + "/*":
        yield Fault(place, "is no atom that is edited", "See the table of atoms in docs/format.md.")
    elif row.keyed == "dot" and not _DOT.fullmatch(atom.partition("/")[2]):
        yield Fault(place, "names no item", "An item is named by the dot that made it.")
    elif isinstance(dots, dict) and set(dots) == {implied_dot(str(tree.get("made")), atom, row)}:
        yield Fault(place, "says only that it was never edited", "Leave it out.")


def _withdrawal_faults(tree: Mapping[str, Json]) -> Iterator[Fault]:
    seen, covered = tree.get("seen"), tree.get("withdrawn")
    if not isinstance(seen, dict) or not isinstance(covered, dict):
        return
    for copy, number in covered.items():
        known = seen.get(copy, 0)
        if isinstance(number, int) and isinstance(known, int) and number > known:
            yield Fault(f"withdrawn/{copy}", "covers edits that are not in seen", "Restore the edit record.")


def _unseen_dots(tree: Mapping[str, Json]) -> Iterator[Fault]:
    seen = tree.get("seen")
    if not isinstance(seen, dict):
        return
    for place, dot in dots_in(tree):
        if _DOT.fullmatch(dot):
            known = seen.get(copy_of(dot), 0)
            if isinstance(known, int) and number_of(dot) > known:
                yield Fault(
                    place,
                    f"the edit {dot} is not in seen",
                    "The edit record was changed by hand: restore it.",
                )


def _keyed_twice(tree: Mapping[str, Json]) -> Iterator[Fault]:
    """One dot makes one item: the same dot under two members would be two edits of one number."""
    where: dict[str, str] = {}
    for row in ATOMS.get(str(tree.get("kind")), ()):
        if row.keyed == "dot":
            for dot, _ in _members(tree, row.member):
                place = f"{row.member}/{dot}"
                if dot in where:
                    yield Fault(place, f"the dot {dot} stands at {where[dot]} too", "Each item has a dot of its own.")
                where[dot] = place


def _question_faults(tree: Mapping[str, Json], atom: str, dots: Json) -> Iterator[Fault]:
    place = f"questions/{atom}"
    row = atom_for(str(tree["kind"]), atom)
    if row is None or row.policy in (Policy.SET, Policy.FIXED):
        yield Fault(place, "is no atom that can be in question", "See the table of atoms in docs/format.md.")
        return
    if not isinstance(dots, dict) or len(dots) < 2:
        yield Fault(place, "has fewer than two answers", "A question names each live edit with its value.")
        return
    listed = tree.get("edits", {}).get(atom) if isinstance(tree.get("edits"), dict) else None
    if not isinstance(listed, dict) or set(listed) != set(dots):
        yield Fault(place, "edits does not name the same live edits", "Restore the edit record.")
    values = {dot: answer.get("value") if isinstance(answer, dict) else None for dot, answer in dots.items()}
    if not all(_DOT.fullmatch(dot) for dot in values):
        return
    shown = value_at(tree, atom)
    if row.policy is Policy.ASK and shown is not None:
        yield Fault(place, "the place is filled although it is in question", "Leave the place out.")
    if row.policy is not Policy.ASK and shown != _shown(row.policy, values):
        yield Fault(place, "the place does not hold the answer of the first edit", "Restore the edit record.")


def _shown(policy: Policy, values: Mapping[str, Json]) -> Json:
    """Return what an unasked place shows while answers differ: the first edit's; brought back wins."""
    if policy is Policy.WITHDRAWAL and any(value is None for value in values.values()):
        return None
    return values[min(values, key=dot_order)]
