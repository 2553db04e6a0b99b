"""Looking at one changed document: its place, its one spelling, what it says, and whose edits it brings."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

import msgspec

from sprayout_core.compare import has_grown
from sprayout_core.documents import (
    FIXED,
    HEAD,
    KINDS,
    from_tree,
    is_proved_change,
    members_of,
    parse,
    proved,
    record_faults,
    stored,
    text_of,
    tree,
)
from sprayout_core.documents.text import LARGEST
from sprayout_core.errors import FaultsError, SprayoutError
from sprayout_library.store import FOLD_RULES
from sprayout_library.store.commits import Commit
from sprayout_library.store.layout import place_of
from sprayout_library.sync.apart import contains, decoded

__all__ = ["passes_quickly", "said", "seen_fault"]

_REMARKS = ("notes", "tags", "aliases", "references")
# Signs of text that needs the careful reader: null, a character writers escape differently, more nesting than any
# document has.
_UNUSUAL = (b"null", b"\x7f", b"\n" + b" " * 48)
_LONG_NUMBER = re.compile(rb":-?[0-9]{16}")


def passes_quickly(commit: Commit, path: str, old: bytes | None, new: bytes) -> bool:
    """Say whether a document that a commit brings is certainly in order; of nearly all that are, this is known.

    old   the state before, which is in order itself: it was let in before, or its commit is looked at in its turn
    The careful way, which finds the words for a refusal, is `said` and `seen_fault`.
    """
    place = place_of(path)
    if place is None or commit.rules != FOLD_RULES:
        return False
    if old is None:
        facts = proved(new)
        if facts is None or (facts.kind, facts.id) != place:
            return False
        return commit.what == "packet" or facts.seen.keys() == {commit.copy}
    return _is_edit(commit, place, old, new)


def _is_edit(commit: Commit, place: tuple[str, str], old: bytes, new: bytes) -> bool:
    """Say whether one state of a document is certainly an edit of another: only what differs is looked at."""
    kind, name = place
    before, after = members_of(old), members_of(new)
    if before is None or after is None:
        return False
    changed = {member: value for member, value in after.items() if before.get(member) != value}
    gone = before.keys() - after.keys()
    if b"seen" not in changed or b"questions" in before or not _kept(kind).isdisjoint(changed.keys() | gone):
        return False
    if not gone.isdisjoint(_needed(kind)):
        return False
    text = text_of(changed)
    try:
        seen, made = msgspec.json.decode(after[b"seen"], type=dict[str, int]), msgspec.json.decode(after[b"made"])
        if not is_proved_change(kind, name, made, seen, text):
            return False
        apart = {b"edits", *changed, *gone}
        newer, older = (
            decoded(text_of({member: value for member, value in state.items() if member in apart}))
            for state in (after, before)
        )
        if not has_grown(kind, made, older, newer):
            return False
    except (msgspec.DecodeError, SprayoutError):
        return False
    if commit.what == "packet":
        return True
    known = older["seen"]
    return all(copy == commit.copy or known.get(copy) == number for copy, number in seen.items())


@cache
def _kept(kind: str) -> frozenset[bytes]:
    """Members that no edit changes, and questions, about which the careful way decides."""
    return frozenset(name.encode("ascii") for name in (*HEAD, "made", "questions", *FIXED.get(kind, ())))


@cache
def _needed(kind: str) -> frozenset[bytes]:
    return frozenset(name.encode("ascii") for name in ("seen", *KINDS[kind].asked))


def said(content: bytes, path: str, before: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the tree of a document after checking it whole. Raises SprayoutError with everything found.

    The text must be the one stored form of what it says, and lie where its kind and id say. Remarks that stand
    there unchanged since the state `before` were looked at when they came.
    """
    value = _in_stored_form(content)
    looked, known = value, set()
    if before is not None and isinstance(value, dict):
        known = {name for name in _REMARKS if name in value and value[name] == before.get(name)}
        looked = {name: held for name, held in value.items() if name not in known}
    document = from_tree(looked)
    if known and (faults := tuple(record_faults(value))):
        raise FaultsError(faults)
    if tree(document) != looked:
        raise SprayoutError(
            "is not in the stored form", "It holds empty members, or text that is not in its one spelling."
        )
    if place_of(path) != (document.kind, document.id):
        raise SprayoutError(f"holds the {document.kind} {document.id}", "Kind and id must agree with its place.")
    return value


class _CarefulError(Exception):
    """A number that JSON writers spell in more than one way."""


def _careful(text: str) -> float:
    raise _CarefulError(text)


_QUICK = msgspec.json.Decoder(float_hook=_careful)


def _in_stored_form(content: bytes) -> dict[str, Any]:
    """Return what a text in the stored form says; every other text is refused.

    Most documents hold no number that JSON writers spell differently: those are compared with one writer's output
    directly, and only the others go the long way.
    """
    if content.isascii() and len(content) <= LARGEST and not any(sign in content for sign in _UNUSUAL):
        try:
            value: dict[str, Any] = _QUICK.decode(content)
            plain = msgspec.json.encode(value, order="sorted")
        except (msgspec.DecodeError, RecursionError, _CarefulError):
            plain = b"{}"
        if not _LONG_NUMBER.search(plain) and msgspec.json.format(plain, indent=2) + b"\n" == content:
            return value
    value = parse(content)
    if stored(value) != content:
        raise SprayoutError("is not in the stored form", "Members sorted, two blanks a level, one final newline.")
    return value


def seen_fault(commit: Commit, old: Mapping[str, Any] | None, new: Mapping[str, Any]) -> str:
    """Return what is wrong with the edits a document brings ("" where nothing is).

    An edit adds edits of its own copy only; a packet may bring others'. In both, the state before joined with the
    new one is the new one: so nothing that was replaced comes back and nothing is lost.
    """
    if old is not None:
        try:
            whole = contains(new, old)
        except SprayoutError as error:
            return str(error.fault.problem)
        if not whole:
            return "does not contain the state it was made from"
        if old["seen"] == new["seen"]:
            return "was changed without an edit"
    if commit.what == "packet":
        return ""
    before = old["seen"] if old is not None else {}
    foreign = sorted(copy for copy, number in new["seen"].items() if copy != commit.copy and before.get(copy) != number)
    return f"brings edits of {foreign[0]} in a commit of {commit.copy}" if foreign else ""
