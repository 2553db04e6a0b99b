"""What came in and what went out, told by document; and where two answers stand since."""

from __future__ import annotations

from collections.abc import Mapping

from sprayout_core.documents import Policy, atom_for, parse
from sprayout_library.store import Store
from sprayout_library.store.layout import place_of
from sprayout_library.store.objects import EMPTY_TREE
from sprayout_library.store.reader import bulk
from sprayout_library.store.trees import changed_between
from sprayout_library.sync.folding import independent
from sprayout_library.sync.report import Question, SyncReport

__all__ = ["came_in", "documents_apart", "missing_there", "open_questions"]


def documents_apart(store: Store, before: str | None, after: str) -> list[tuple[str, str]]:
    """Return (kind, id) of documents that differ between two states, in order of their place."""
    paths = changed_between(store.git, before or EMPTY_TREE, after)
    return [place for path in paths if (place := place_of(path)) is not None]


def missing_there(store: Store, heads: Mapping[str, str], head: str) -> list[tuple[str, str]]:
    """Return (kind, id) of documents whose state here no branch at the remote holds, counted from the nearest one."""
    known = independent(store.git, [name for name in heads.values() if store.reader.info(name) is not None])
    counts = [documents_apart(store, name, head) for name in known[:8]]
    return min(counts, key=len) if counts else documents_apart(store, None, head)


def came_in(store: Store, before: str | None, report: SyncReport) -> None:
    """Tell in the report which documents are new or changed here, and which questions opened."""
    if store.head is None or store.head == before:
        return
    changed = changed_between(store.git, before or EMPTY_TREE, store.head)
    contents = bulk(store.git, [name for pair in changed.values() for name in pair if name])
    for path, (old, new) in changed.items():
        place = place_of(path)
        earlier = next(contents)[1] if old else b""
        later = next(contents)[1] if new else b""
        if place is None:
            continue
        report.received.append(place[1])
        if b'\n  "questions": {' in later:
            report.questions += open_questions(earlier, later)


def open_questions(earlier: bytes, later: bytes) -> list[Question]:
    """Return the questions of a document's later state that its earlier state (b"" for none) did not have."""
    tree = parse(later)
    before = parse(earlier).get("questions", {}) if earlier else {}
    return [
        Question(tree["id"], tree["kind"], tree.get("title", ""), atom)
        for atom, answers in sorted(tree.get("questions", {}).items())
        if set(before.get(atom, ())) != set(answers) and _is_asked(tree["kind"], atom)
    ]


def _is_asked(kind: str, atom: str) -> bool:
    """Return whether people are asked about an atom: not about how a mix was written."""
    row = atom_for(kind, atom)
    return row is None or row.policy is not Policy.QUIET
