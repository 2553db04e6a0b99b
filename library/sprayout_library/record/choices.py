"""Choices between answers as the history has them, and whether anything was seen since that may make one look again."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from sprayout_library.record.evidence import EVIDENCE, evidence_for, panels_named
from sprayout_library.store import Store
from sprayout_library.store.layout import place_of
from sprayout_library.store.reader import bulk
from sprayout_library.store.trees import changed_between

if TYPE_CHECKING:
    from sprayout_core.documents import Document

__all__ = ["CHOSE", "LOOKED", "Choice", "anything_seen_since", "choices"]

CHOSE = "Chose for "
"""How the message of a choice begins; what it settled is read from the documents, not from the message."""

LOOKED = "Looked again at "
"""How the message begins when somebody looked at new evidence and left the choice as it is."""

_COMMIT = re.compile(r"\x01([0-9a-f]{40}) (.*)")
_CHANGE = re.compile(r":\d+ \d+ ([0-9a-f]{40}) ([0-9a-f]{40}) M\t(.+)")
_MOST = 200


class Choice(NamedTuple):
    """A choice or a later look: the version it made with its message, the document, its content before and after."""

    commit: str
    message: str
    document: str
    before: str
    after: str


def choices(store: Store, only: str | None = None) -> list[Choice]:
    """Return what the last 200 choices and later looks of a library changed, newest first; in one document, if asked.

    Contents go by their names in the store.
    """
    if store.head is None:
        return []
    words = ("--fixed-strings", f"--grep={CHOSE}", f"--grep={LOOKED}", f"--max-count={_MOST}")
    shape = ("--format=%x01%H %s", "--raw", "-r", "--no-abbrev", "--no-renames")
    commit, message, found = "", "", []
    for line in store.git.text("log", *words, *shape, store.head).splitlines():
        if head := _COMMIT.fullmatch(line):
            commit, message = head[1], head[2]
        elif (change := _CHANGE.fullmatch(line)) and (place := place_of(change[3])) and only in (None, place[1]):
            found.append(Choice(commit, message, place[1], change[1], change[2]))
    return found


def anything_seen_since(store: Store, only: str | None = None) -> bool:
    """Say whether a panel of something that was chosen for was sprayed or seen since it was last looked at.

    Asked before `settled` is loaded, which looks closer: at which answer it was, and whether the choice still stands.
    """
    looks = _last_looks(choices(store, only))
    now = _evidence_at(store, store.head) if looks else []
    grown = [one for one in looks if _evidence_at(store, one.commit) != now]
    if not grown:
        return False
    panels = evidence_for(store, "panel").panels.values()
    for one in grown:
        about = {panel.id for panel in panels if panel.recipe == one.document or one.document in (panel.proofs or {})}
        if any(panels_named(document) & about for document in _came_since(store, one.commit)):
            return True
    return False


def _last_looks(found: Iterable[Choice]) -> list[Choice]:
    """Return the choices in each document, newest first, back to when somebody looked again: that counts for older."""
    done: set[str] = set()
    looks = []
    for one in found:
        if one.document not in done:
            looks.append(one)
        if one.message.startswith(LOOKED):
            done.add(one.document)
    return looks


def _evidence_at(store: Store, commit: str | None) -> list[str]:
    """Return the names of the folders of evidence: a folder that holds the same goes by the same name."""
    return [found.id if found else "" for found in store.reader.infos([f"{commit}:{kind}" for kind in EVIDENCE])]


def _came_since(store: Store, commit: str) -> Iterator[Document]:
    """Yield the evidence that a version did not have."""
    came = changed_between(store.git, commit, store.head or commit)
    fresh = [new for path, (old, new) in came.items() if not old and path.split("/")[0] in EVIDENCE]
    yield from (store.understand(content) for _, content in bulk(store.git, fresh))
