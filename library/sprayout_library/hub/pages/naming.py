"""The names of a library as pages need them: worked out once, and after a save only of what changed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from sprayout_core.compare import questions_of
from sprayout_library.index.rows import key, text_of
from sprayout_library.record import Entry, Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

    from sprayout_library.hub.pages.states import Moved
    from sprayout_library.index import Index

__all__ = ["names_of"]

_QUERY = "SELECT id, kind, title, label, role, aliases, withdrawn, asked FROM doc"


def names_of(index: Index, store: Store, before: Names | None, moved: Moved | None) -> Names:
    """Return what everything is called; readings, which go by their panel, are left out.

    before  the names of an earlier state, and what `moved` since then; None where there is none
    """
    if before is None or moved is None:
        return Names.of(_entries(index.rows(_QUERY), store))
    ids = [name for _, name in moved]
    rows = (row for name in ids for row in index.rows(f"{_QUERY} WHERE id = ?", (key(name),)))
    return before.changed({**dict.fromkeys(ids), **{one.id: one for one in _entries(rows, store)}})


def _entries(rows: Iterable[tuple[Any, ...]], store: Store) -> Iterator[Entry]:
    for raw, kind, title, label, role, aliases, withdrawn, asked in rows:
        name = text_of(raw)
        atoms: tuple[str, ...] = ()
        if asked and (document := store.get(name)) is not None:
            atoms = tuple(questions_of(document))
        other = tuple(one for one in aliases.split("\n") if one)
        yield Entry(name, kind, title, label, role, other, bool(withdrawn), atoms)
