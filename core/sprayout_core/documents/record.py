"""Rules of the edit record that no type can say: dots are known, questions are real, places agree with them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from sprayout_core.documents.atoms import ATOMS, Policy, atom_for, value_at
from sprayout_core.documents.identity import copy_of, number_of
from sprayout_core.documents.values import DOT_PATTERN
from sprayout_core.errors import Fault

__all__ = ["dots_in", "record_faults"]

_DOT = re.compile(DOT_PATTERN, re.ASCII)


def dots_in(tree: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
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


def _members(tree: Mapping[str, Any], name: str) -> list[tuple[str, Any]]:
    held = tree.get(name)
    return list(held.items()) if isinstance(held, dict) else []


def record_faults(tree: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield every fault of a document's edit record. Safe on trees whose members are of the wrong type."""
    yield from _unseen_dots(tree)
    yield from _keyed_twice(tree)
    for atom, dots in _members(tree, "questions"):
        yield from _question_faults(tree, atom, dots)
    for atom, dots in _members(tree, "edits"):
        row = atom_for(str(tree["kind"]), atom)
        if row is None or row.policy is Policy.SET:
            yield Fault(
                f"edits/{atom}", "is no atom that is edited", "See the table of atoms in docs/format.md."
            )
        elif isinstance(dots, dict) and not dots:
            yield Fault(f"edits/{atom}", "names no edit", "Leave it out.")


def _unseen_dots(tree: Mapping[str, Any]) -> Iterator[Fault]:
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


def _keyed_twice(tree: Mapping[str, Any]) -> Iterator[Fault]:
    """One dot makes one item: the same dot under two members would be two edits of one number."""
    where: dict[str, str] = {}
    for row in ATOMS.get(str(tree.get("kind")), ()):
        if row.keyed == "dot":
            for dot, _ in _members(tree, row.member):
                place = f"{row.member}/{dot}"
                if dot in where:
                    yield Fault(
                        place, f"the dot {dot} stands at {where[dot]} too", "Each item has a dot of its own."
                    )
                where[dot] = place


def _question_faults(tree: Mapping[str, Any], atom: str, dots: Any) -> Iterator[Fault]:
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
    values = [answer.get("value") if isinstance(answer, dict) else None for answer in dots.values()]
    if all(value == values[0] for value in values):
        yield Fault(place, "its answers are the same", "Then there is no question: leave it out.")
    if row.policy is Policy.ASK and value_at(tree, atom) is not None:
        yield Fault(place, "the place is filled although it is in question", "Leave the place out.")
