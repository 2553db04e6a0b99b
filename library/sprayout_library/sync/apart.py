"""Joining two states of one document by looking only at the members in which they differ."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from sprayout_core.compare import join_trees
from sprayout_core.documents import members_of, stored, text_of

__all__ = ["contains", "decoded", "joined_quickly", "joined_texts", "unequal"]

_RECORD = ("edits", "questions")
#: Where edits or answers differ, a member may have to be taken apart though it stands in both alike.
_RECORD_TEXT = (b"edits", b"questions")
_WITH_APART = {b"edits", b"questions", b"format", b"kind", b"id", b"provenance", b"made", b"seen"}
_HEAD = ("format", "kind", "id", "provenance", "made", "seen")


def decoded(content: bytes) -> dict[str, Any]:
    """Return the tree of a document that the gate let in before: its form was checked then."""
    tree: dict[str, Any] = msgspec.json.decode(content)
    return tree


def unequal(x: Mapping[str, Any], y: Mapping[str, Any]) -> set[str]:
    """Return the top-level members in which two states differ: in value, in their edits or in their answers.

    Of one id made on both sides that is all of them: an edit not named in the record is the making, and they differ.
    """
    if x.get("made") != y.get("made"):
        return {name for name in {**x, **y} if name not in _RECORD} | _atoms(x) | _atoms(y)
    names = {name for name in {**x, **y} if name not in _RECORD and x.get(name) != y.get(name)}
    for record in _RECORD:
        ours, theirs = x.get(record, {}), y.get(record, {})
        if ours != theirs:
            apart = (atom for atom in {**ours, **theirs} if ours.get(atom) != theirs.get(atom))
            names.update(atom.partition("/")[0] for atom in apart)
    return names


def _atoms(tree: Mapping[str, Any]) -> set[str]:
    """Return the top-level members that the record of a state names."""
    return {atom.partition("/")[0] for record in _RECORD for atom in tree.get(record, {})}


def joined_quickly(x: Mapping[str, Any], y: Mapping[str, Any]) -> dict[str, Any]:
    """Return `join_trees(x, y)` for two valid states of one document.

    Every atom lies inside one top-level member, and an atom with the same value and the same edits on both sides
    joins to itself; so only the members that differ have to be taken apart.
    """
    names = unequal(x, y)
    joined = join_trees(_part(x, names), _part(y, names))
    for record in _RECORD:
        kept = {atom: held for atom, held in x.get(record, {}).items() if atom.partition("/")[0] not in names}
        if kept:
            joined[record] = kept | joined.get(record, {})
    for name, value in x.items():
        if name not in names and name not in _RECORD:
            joined[name] = value
    return joined


def joined_texts(x: bytes, y: bytes) -> bytes:
    """Return the stored form of `join_trees` of two states of one document, given in their stored forms.

    What stands in both alike is carried over as it is written; the rest alone is understood.
    """
    ours, theirs = members_of(x), members_of(y)
    if ours is None or theirs is None or ours.get(b"made") != theirs.get(b"made"):  # one id made on both sides
        return stored(joined_quickly(decoded(x), decoded(y)))
    apart = {name for name in {**ours, **theirs} if ours.get(name) != theirs.get(name)}
    apart |= _WITH_APART & ours.keys() | _WITH_APART & theirs.keys()
    apart |= {name.encode("ascii") for name in unequal(_said(ours, _RECORD_TEXT), _said(theirs, _RECORD_TEXT))}
    joined = members_of(stored(joined_quickly(_said(ours, apart), _said(theirs, apart))))
    if joined is None:
        return stored(joined_quickly(decoded(x), decoded(y)))
    return text_of({name: value for name, value in ours.items() if name not in apart} | joined)


def _said(members: Mapping[bytes, bytes], names: Iterable[bytes]) -> dict[str, Any]:
    """Return what some of a document's members say."""
    some = {name: members[name] for name in names if name in members}
    return decoded(text_of(some)) if some else {}


def _part(tree: Mapping[str, Any], names: set[str]) -> dict[str, Any]:
    part = {name: value for name, value in tree.items() if name in names or name in _HEAD}
    for record in _RECORD:
        some = {atom: held for atom, held in tree.get(record, {}).items() if atom.partition("/")[0] in names}
        if some:
            part[record] = some
    return part


def contains(newer: Mapping[str, Any], older: Mapping[str, Any]) -> bool:
    """Say whether a state contains an earlier one: then joining the two makes no difference.

    Raises SprayoutError where the two cannot be joined at all.
    """
    names = unequal(newer, older)
    part = _part(newer, names)
    return join_trees(_part(older, names), part) == part
