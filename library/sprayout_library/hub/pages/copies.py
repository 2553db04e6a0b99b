"""Who is in sync: the other copies of a library, as far as this one heard of them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError
from sprayout_library.record.shops import copies_called
from sprayout_library.store import Commit, Store, read_commit

__all__ = ["Copy", "copies_mark", "copies_of", "copies_told"]

#: Those that wrote last.
_MOST = 30
#: Commits gone back through to find what a copy wrote itself: folds of everything are nobody's.
_MOST_STEPS = 60
_BRANCHES = "refs/heads/shops/"


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy: whose it is, when it was written in last, whether it holds all that is here, how many documents it lacks.

    by     the shop, else who wrote in it last; empty where nothing near its newest state was written in it
    lacks  None where nobody counted
    """

    id: str
    by: str
    at: str
    same: bool
    lacks: int | None = None


def copies_mark(store: Store) -> str:
    """Return what changes with every state of any copy that this one hears of."""
    from sprayout_library.store.refs import all_refs

    return hashlib.sha256(repr(all_refs(store.git, _BRANCHES)).encode()).hexdigest()


def copies_of(store: Store) -> list[Copy]:
    """Return the other copies, newest first; what they lack is not counted."""
    ours = _commit(store, store.head)
    return [_copy(store, name, head, ours) for name, head in _newest(store)] if ours else []


def copies_told(store: Store) -> list[Copy]:
    """Return the other copies with what each lacks."""
    from sprayout_library.store.trees import changed_between

    ours = _commit(store, store.head)
    found = []
    for name, head in _newest(store) if ours else []:
        assert ours is not None
        lacks = 0 if head.tree == ours.tree else len(changed_between(store.git, head.tree, ours.tree))
        found.append(_copy(store, name, head, ours, lacks))
    return found


def _copy(store: Store, name: str, head: Commit, ours: Commit, lacks: int | None = None) -> Copy:
    last = _last_edit(store, name, head)
    by = copies_called(store).get(name) or (last.author.name if last.copy == name else "")
    return Copy(name, by, last.at.strftime("%Y-%m-%dT%H:%M:%SZ"), head.tree == ours.tree, lacks)


def _newest(store: Store) -> list[tuple[str, Commit]]:
    """Return the other copies and where they stand, newest first."""
    from sprayout_library.store.refs import all_refs

    own = store.facts.copy_id
    heads = {name.removeprefix(_BRANCHES): head for name, head in all_refs(store.git, _BRANCHES).items()}
    read = [(name, commit) for name, head in heads.items() if name != own and (commit := _commit(store, head))]
    return sorted(read, key=lambda pair: pair[1].author.at, reverse=True)[:_MOST]


def _last_edit(store: Store, name: str, head: Commit) -> Commit:
    """Return what a copy itself wrote last; where that lies far back, or it wrote nothing, where it stands."""
    waiting, seen = [head], {head.id}
    for one in waiting:
        if one.copy == name:
            return one
        fresh = [parent for parent in one.parents if parent not in seen][: _MOST_STEPS - len(seen)]
        seen.update(fresh)
        waiting += [commit for parent in fresh if (commit := _commit(store, parent))]
    return head


def _commit(store: Store, name: str | None) -> Commit | None:
    content = store.reader.content(name) if name else None
    try:
        return read_commit(name, content) if name and content is not None else None
    except SprayoutError:  # another program's: no copy of ours
        return None
