"""States of a library: what tells one from every other, and what changed between two."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

from sprayout_core.errors import SprayoutError
from sprayout_library.store import Store, place_of
from sprayout_library.store.trees import changed_between

__all__ = ["Moved", "State", "moved_since", "state_of"]

#: Kind and id of what differs between two states, with its blob now; an empty one where it is not here any more.
Moved = Mapping[tuple[str, str], str]
_FEW = 2_000
#: A library's folder, the commit it is read at, and the stamp of what this machine knows of it (copy, shop, remotes).
State = tuple[str, str | None, tuple[int, ...]]


def state_of(store: Store) -> State:
    """Return what tells the state a store reads from every other one."""
    stamp: tuple[int, ...] = ()
    with suppress(OSError):
        seen = store.facts.facts.path.stat()
        stamp = seen.st_mtime_ns, seen.st_size, seen.st_ino
    return str(store.folder), store.head, stamp


def moved_since(store: Store, before: str | None) -> Moved | None:
    """Return what changed since a commit; None where that is not known, or is so much that all is read again."""
    if before is None or store.head is None:
        return None
    if before == store.head:
        return {}
    try:
        changed = changed_between(store.git, before, store.head)
    except SprayoutError:  # a commit that is not here any more
        return None
    places = {path: place_of(path) for path in changed}
    if len(changed) > _FEW or None in places.values():
        return None
    return {place: changed[path][1] for path, place in places.items() if place is not None}
