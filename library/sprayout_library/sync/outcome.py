"""What came in and what went out, told by document; and where two answers stand since."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sprayout_core.documents import Policy, atom_for, parse
from sprayout_library.store import Store, manifests
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
    news: set[str] = set()
    for path, (old, new) in changed.items():
        place = place_of(path)
        earlier = next(contents)[1] if old else b""
        later = next(contents)[1] if new else b""
        if place is None:
            continue
        report.received.append(place[1])
        if not old and place[0] == "library":
            news.add("library")
        if not old and place[0] == "shop":
            news.add("shop")
        if b'\n  "questions": {' in later:
            report.questions += open_questions(earlier, later)
    report.notes += [*_several_manifests(store)] if "library" in news else []
    report.notes += [*_shops_of_one_name(store)] if "shop" in news else []


def _shops_of_one_name(store: Store) -> Iterator[str]:
    """Say where two shops go by one name: nobody can tell who made what."""
    seen: dict[str, str] = {}
    for shop in store.documents("shop"):
        if shop.withdrawn is None and (first := seen.setdefault(shop.name.casefold(), shop.id)) != shop.id:
            yield f"two shops are called {shop.name} (…{first[-6:]} and …{shop.id[-6:]}): one needs another name"


def _several_manifests(store: Store) -> Iterator[str]:
    """Return what to say where another library came in, which brought a manifest of its own."""
    counting, *others = [one for one in manifests(store) if one.withdrawn is None] or manifests(store)
    for other in others:
        yield (
            f"two libraries are one now: what {counting.name!r} compares with counts, since it was made first "
            f"({counting.illuminant}, {counting.observer} degrees), not what {other.name!r} says; withdraw that one"
        )


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
