"""Looking at one changed document: its place, its one spelling, what it says, and whose edits it brings."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import msgspec

from sprayout_core.documents import from_tree, parse, record_faults, stored, tree
from sprayout_core.documents.text import LARGEST
from sprayout_core.errors import Fault, FaultsError, SprayoutError
from sprayout_library.store.commits import Commit
from sprayout_library.store.layout import place_of
from sprayout_library.sync.apart import contains
from sprayout_library.sync.gate.arrival import Change, Changes
from sprayout_library.sync.gate.limits import Limits

__all__ = ["path_fault", "said", "seen_fault", "tree_faults"]

_REMARKS = ("notes", "tags", "aliases", "references")
# Signs of text that needs the careful reader: numbers in lists, fractions that end in 0, exponents, null, -0,
# whole numbers near 2^53, more nesting than any document has.
_UNUSUAL = re.compile(
    rb"\[\n\s+-?[0-9]|\.0[,\n]|-0[,\n]|: -?[0-9.]+[eE]|: null|null,|null\n|\x7f|: -?[0-9]{16}|\n {48}"
)

_KINDS_OF_ENTRY = {
    "120000": "a link",
    "160000": "a submodule",
    "100755": "an executable file",
    "040000": "a folder",
}


def path_fault(change: Change, large: Mapping[str, int], limits: Limits) -> Fault | None:
    """Return what is wrong with a changed path before anything in it is read, or None."""
    shown = _shown(change.path)
    if change.new_mode == "000000":
        return Fault(shown, "is taken away", "Nothing is ever deleted from a library: withdraw it instead.")
    if change.new_mode != "100644":
        what = _KINDS_OF_ENTRY.get(change.new_mode, f"of mode {change.new_mode}")
        return Fault(shown, f"is {what}", "A library holds plain files only.")
    if change.old_mode not in {"100644", "000000"}:
        return Fault(shown, "replaces something that is no plain file", "A library holds plain files only.")
    if place_of(change.path) is None:
        return Fault(shown, "is no place of a document", "Documents lie at kind/xx/yy/id.json, in small letters.")
    if size := large.get(change.new):
        return Fault(shown, f"is {size} bytes large", f"At most {limits.document}.")
    return None


def _shown(path: str) -> str:
    text = "".join(sign if sign.isprintable() else "?" for sign in path)
    return text if len(text) <= 120 else f"{text[:117]}..."


def tree_faults(changes: Changes) -> Fault | None:
    """Return what is wrong with the folders of a commit: each changed one must hold a changed document."""
    wanted = {
        "/".join(parts[:depth])
        for change in changes.files
        for parts in (change.path.split("/"),)
        for depth in (1, 2, 3)
    }
    if odd := sorted(changes.folders ^ wanted):
        return Fault(_shown(odd[0]), "is a folder without a changed document in it", "It was made by another program.")
    return None


def said(content: bytes, path: str, before: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the tree of a document after checking it whole. Raises SprayoutError with everything found.

    The text must be the one stored form of what it says, and lie where its kind and id say. Remarks that stand
    there unchanged since the state `before` were looked at when they came.
    """
    value = _in_stored_form(content)
    looked = value
    if before is not None:
        known = {name for name in _REMARKS if name in value and value[name] == before.get(name)}
        looked = {name: held for name, held in value.items() if name not in known}
        if known and (faults := tuple(record_faults(value))):
            raise FaultsError(faults)
    document = from_tree(looked)
    if tree(document) != looked:
        raise SprayoutError(
            "is not in the stored form", "It holds empty members, or text that is not in its one spelling."
        )
    if place_of(path) != (document.kind, document.id):
        raise SprayoutError(f"holds the {document.kind} {document.id}", "Kind and id must agree with its place.")
    return value


def _in_stored_form(content: bytes) -> dict[str, Any]:
    """Return what a text in the stored form says; every other text is refused.

    Most documents hold no number that JSON writers spell differently: those are compared with one writer's output
    directly, and only the others go the long way.
    """
    if not _UNUSUAL.search(content) and content.isascii():
        try:
            value: dict[str, Any] = msgspec.json.decode(content)
            plain = msgspec.json.encode(value, order="sorted")
        except (msgspec.DecodeError, RecursionError, UnicodeDecodeError):
            value, plain = {}, b""
        if len(content) <= LARGEST and msgspec.json.format(plain or b"{}", indent=2) + b"\n" == content:
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
