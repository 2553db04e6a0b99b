"""Joining two states of one document: no base, no history, the same result in any order."""

from __future__ import annotations

from collections.abc import Mapping

from sprayout_core.compare.state import ABSENT, Live, State, dissolve, rebuild
from sprayout_core.documents import (
    Document,
    Json,
    copy_of,
    dot_order,
    edition_of,
    from_tree,
    number_of,
    tree,
)
from sprayout_core.errors import SprayoutError

__all__ = ["RULES", "CopiedLibrary", "DifferentDocuments", "fold_message", "join", "join_trees"]

#: The version of these rules. Copies with another version make edits but no folds.
RULES = 1


class DifferentDocuments(SprayoutError):
    """Two documents that are not two states of one."""


class CopiedLibrary(SprayoutError):
    """One dot with two values: two copies of a library edit under one copy id."""


def fold_message() -> str:
    """Return the message of a commit that folds heads by these rules."""
    return f"fold rules={RULES}"


def join(x: Document, y: Document) -> Document:
    """Return the state that has taken in both states of one document.

    Commutative, associative, idempotent. Raises DifferentDocuments for two ids or kinds, CopiedLibrary
    where one edit has two values, or where a state counts edits that nobody made, so that nothing would be left.
    """
    return from_tree(join_trees(tree(x), tree(y)))


def join_trees(x: Mapping[str, Json], y: Mapping[str, Json]) -> dict[str, Json]:
    """Return the joined tree of two valid trees of one document; see `join`."""
    for name in ("id", "kind"):
        if x[name] != y[name]:
            raise DifferentDocuments(
                f"{x['id']} is a {x['kind']}, {y['id']} a {y['kind']}: not two states of one document",
                "Take one of them in as a new document.",
            )
    return rebuild(_joined(dissolve(x), dissolve(y)))


def _joined(x: State, y: State) -> State:
    if dot_order(y.made) < dot_order(x.made):
        x, y = y, x
    if x.made == y.made:
        _same_facts(x, y)
    later = max(x.fixed["format"], y.fixed["format"], key=edition_of)
    seen = {copy: max(x.seen.get(copy, 0), y.seen.get(copy, 0)) for copy in {**x.seen, **y.seen}}
    joined = State(x.made, seen, {**x.fixed, "format": later}, {}, {})
    for name in {**x.atoms, **y.atoms}:
        live = _join_live(name, x, y)
        if live.values:
            joined.atoms[name] = live
    for member in {**x.sets, **y.sets}:
        ours, theirs = x.sets.get(member, {}), y.sets.get(member, {})
        joined.sets[member] = _kept(f"{x.fixed['id']}/{member}", ours, theirs, x.seen, y.seen)
    return joined


def _same_facts(x: State, y: State) -> None:
    for name in {**x.fixed, **y.fixed}:
        if name != "format" and x.fixed.get(name) != y.fixed.get(name):
            raise CopiedLibrary(
                f"{name} was written once and yet there are two of it",
                "A library was copied, or a fixed fact changed by hand; nothing was taken.",
                place=f"{x.fixed['id']}/{name}",
            )


def _join_live(name: str, x: State, y: State) -> Live:
    ours, theirs = x.atoms.get(name, Live()), y.atoms.get(name, Live())
    values = _kept(f"{x.fixed['id']}/{name}", ours.values, theirs.values, x.seen, y.seen)
    if not values and (ours.values or theirs.values):
        # An edit that replaces another takes its place, so one of them lives wherever both were taken in.
        raise CopiedLibrary(
            "each of two states says that what the other holds was replaced, and neither holds by what",
            "One of them counts edits that nobody made; nothing was taken.",
            place=f"{x.fixed['id']}/{name}",
        )
    times: dict[str, str] = {}
    for dot in values:
        told = [state.times[dot] for state in (ours, theirs) if dot in state.times]
        implied = [state.implied_time(dot) for state, live in ((x, ours), (y, theirs)) if dot in live.values]
        times[dot] = min(told or implied)
    return Live(values, times)


def _kept(
    place: str,
    ours: dict[str, Json],
    theirs: dict[str, Json],
    seen: dict[str, int],
    seen_there: dict[str, int],
) -> dict[str, Json]:
    """Keep a dot that both have, or that the other side has not seen: else it was replaced there."""
    kept: dict[str, Json] = {}
    for dot, value in ours.items():
        if dot in theirs:
            if not _same(value, theirs[dot]):
                raise CopiedLibrary(
                    f"the edit {dot} has two values",
                    "A library was copied and both copies were used; nothing was taken.",
                    place=place,
                )
            kept[dot] = value
        elif number_of(dot) > seen_there.get(copy_of(dot), 0):
            kept[dot] = value
    for dot, value in theirs.items():
        if dot not in ours and number_of(dot) > seen.get(copy_of(dot), 0):
            kept[dot] = value
    return kept


def _same(value: Json, other: Json) -> bool:
    if value is ABSENT or other is ABSENT:
        return value is other
    return bool(value == other)
