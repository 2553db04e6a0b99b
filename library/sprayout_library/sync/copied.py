"""A library that was copied or restored: going forward, or going on under a new copy id, so that no edit is lost."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from sprayout_core.compare import renamed
from sprayout_core.documents import new_copy_id, parse, stored
from sprayout_library.store import Author, Git, GitError, Store, Written
from sprayout_library.store.layout import shop_ref
from sprayout_library.store.objects import Pile
from sprayout_library.store.reader import bulk
from sprayout_library.store.refs import MAIN, all_refs, move
from sprayout_library.store.trees import changed_between, trees_of
from sprayout_library.store.writing import write_edit
from sprayout_library.sync.folding import fold, independent

__all__ = ["Standing", "is_ancestor", "rebuilt", "standing"]


@dataclass(frozen=True, slots=True)
class Standing:
    """How this copy's own branch here stands to the same branch elsewhere: "ahead", "behind", "same" or "beside"."""

    word: str
    there: str


def is_ancestor(git: Git, older: str, newer: str) -> bool:
    """Say whether one commit is an ancestor of (or the same as) another."""
    try:
        git.run("merge-base", "--is-ancestor", older, newer)
    except GitError as error:
        if error.status == 1:
            return False
        raise
    return True


def standing(git: Git, here: str | None, there: str) -> Standing:
    """Return how our head stands to a commit made under our copy id."""
    if here == there:
        return Standing("same", there)
    if here is None:
        return Standing("behind", there)
    if is_ancestor(git, there, here):
        return Standing("ahead", there)
    return Standing("behind" if is_ancestor(git, here, there) else "beside", there)


def rebuilt(store: Store, there: str, now: datetime, random: Callable[[int], bytes] = secrets.token_bytes) -> str:
    """Go on under a new copy id: rename the edits made here and not published, on the last published state.

    there    the commit that another library made under the same copy id
    returns  the new head. Call it while `writing`.

    What had come in here from other copies stays; what the twin made is taken in by the fold that follows.
    """
    old, head = store.copy_id, store.newest()
    if head is None:
        return there
    base = _published(store, head, there, old)
    copy = new_copy_id(random(8))
    contents = _renamed_documents(store, base, head, old, copy)
    commit = base or head
    if contents or base is None:
        told = "edits of a copied library, under a copy id of its own"
        digest = hashlib.sha256(f"copied library {head}".encode("ascii")).hexdigest()
        how = Written("packet", told, Author("sprayout", now), digest)  # may bring what others made on top of them
        commit = write_edit(store, base, contents, how, copy)
    refs = all_refs(store.git, "refs/heads/")
    moves = {
        shop_ref(copy): (None, commit),
        shop_ref(old): (refs.get(shop_ref(old)), None),
        MAIN: (refs.get(MAIN), commit),
    }
    move(store.git, moves, "a copied library goes on under a new copy id")
    store.facts.drawn(copy, store.folder)  # stopped before this, the next sync finds itself beside again
    store.head = commit
    return commit


def _published(store: Store, head: str, there: str, copy: str) -> str | None:
    """Return the state to rebuild on: what was published under our id, with all that came from other copies."""
    git = store.git
    try:
        shared = git.text("merge-base", head, there)
    except GitError as error:
        if error.status == 1 and not error.detail:
            shared = ""
        else:
            raise
    limit = (f"^{shared}",) if shared else ()
    lines = git.text("rev-list", "--topo-order", "--parents", head, *limit).splitlines()
    mail = f"--author={copy}@"
    own = set(git.text("rev-list", "--fixed-strings", mail, head, *limit).split())
    parents = {name: rest for name, *rest in (line.split(" ") for line in lines)}
    tainted: set[str] = set()
    for name in reversed(parents):  # parents first
        if name in own or any(parent in tainted for parent in parents[name]):
            tainted.add(name)
    edges = {parent for name in tainted for parent in parents[name] if parent not in tainted}
    heads = independent(git, [*edges, *([shared] if shared else [])])
    if not heads:
        return None
    with Pile() as pile:
        base = fold(git, trees_of(store.git, store.reader), heads, pile)
        pile.write(git)
    return base


def _renamed_documents(store: Store, base: str | None, head: str, old: str, new: str) -> dict[str, bytes]:
    """Return, by path, the documents that differ from the base, with the edits of `old` after it made by `new`."""
    from sprayout_library.store.objects import EMPTY_TREE

    changed = changed_between(store.git, base or EMPTY_TREE, head)
    here = {path: pair for path, pair in changed.items() if pair[1]}
    contents = bulk(store.git, [name for pair in here.values() for name in pair if name])
    renamed_ones: dict[str, bytes] = {}
    for path, (before, _) in here.items():
        published = parse(next(contents)[1])["seen"].get(old, 0) if before else 0
        renamed_ones[path] = stored(renamed(parse(next(contents)[1]), old, new, published))
    return renamed_ones
