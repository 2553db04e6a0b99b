"""Libraries that began apart: what arrives from one that this library has nothing in common with."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sprayout_core.documents import Library, read
from sprayout_library.store import GitError, Store
from sprayout_library.store.reader import ObjectReader
from sprayout_library.store.trees import listed
from sprayout_library.sync.quarantine import Quarantine

__all__ = ["Admit", "Strangers", "everybody", "strangers_in"]


@dataclass(frozen=True, slots=True)
class Strangers:
    """What arrived of another library: the names it goes by (none where it was never begun), and of how many things."""

    names: tuple[str, ...]
    documents: int


Admit = Callable[[Strangers], None]
"""Called before the first things of another library are let in; raising keeps it out and changes nothing."""


def everybody(strangers: Strangers) -> None:
    """Let every library in."""


def strangers_in(store: Store, arrived: Quarantine, heads: Iterable[str]) -> Strangers | None:
    """Return what arrived of another library, or None where this one is empty or has any version in common with it.

    heads  commits that passed the gate
    """
    here = store.newest()
    found = list(heads)
    if here is None or not found or any(_related(arrived, here, head) for head in found):
        return None
    reader = ObjectReader(arrived.git)
    try:
        names, documents = {}, set()
        for head in found[:8]:
            for path, blob in listed(arrived.git, head):
                documents.add(path)
                content = reader.content(blob) if path.startswith("library/") else None
                if (
                    content is not None
                    and isinstance(manifest := read(content), Library)
                    and manifest.withdrawn is None
                ):
                    names[path] = manifest.name
        return Strangers(tuple(sorted(names.values())), len(documents))
    finally:
        reader.close()


def _related(arrived: Quarantine, one: str, other: str) -> bool:
    try:
        arrived.git.run("merge-base", one, other)
    except GitError as error:
        if error.status == 1:
            return False
        raise
    return True
