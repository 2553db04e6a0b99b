"""The names in a library: a small one is read whole, of a large one the index is asked."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from sprayout_library.index import Index, asking
from sprayout_library.record.names import Entry, Names, entry_of
from sprayout_library.store import Store

__all__ = ["names_in"]

_MANY = 20_000
"""From so many objects in its packs a library is large: reading it whole takes longer than asking the index."""
_EACH = 32
"""Bytes that the table of a pack has for one object: its id, its place, its check sum, a little more."""


def names_in(store: Store) -> Names:
    """Return the names in a library as it stands."""
    tables = (store.folder / "objects" / "pack").glob("*.idx")
    with suppress(OSError):  # the index cannot be kept on this machine, or a pack went away meanwhile
        if sum(table.stat().st_size for table in tables) > _MANY * _EACH:
            return asking(store, lambda index: names_by_index(index, store))
    return Names(store)


def names_by_index(index: Index, store: Store) -> Names:
    """Return the names that the index knows, with a way to the readings, which it knows by their ids alone."""
    found = []
    for one, aliases in index.everything():
        content = store.content(one.id) if one.asked or one.kind == "reading" else None
        found.append(
            entry_of(one.id, content)
            if content is not None
            else Entry(one.id, one.kind, one.title, one.label, one.role, aliases, one.withdrawn, ())
        )
    return Names.of(found, _Readings(store))


@dataclass(frozen=True, slots=True)
class _Readings:
    store: Store

    def ending(self, end: str) -> list[Entry]:
        """Return the readings whose id ends so."""
        ids = [end] if len(end) == 36 else asking(self.store, lambda index: index.readings_ending(end))
        contents = ((identity, self.store.content(identity)) for identity in ids)
        entries = (entry_of(identity, content) for identity, content in contents if content is not None)
        return [entry for entry in entries if entry.kind == "reading"]

    def every(self) -> list[Entry]:
        """Return all readings."""
        return [entry_of(identity, content) for identity, content in self.store.raw("reading")]
