"""Whether an index stands that may be used at once: looked at before anything heavy is loaded."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sprayout_library.index.seal import Broken, Seal
from sprayout_library.machine import home

if TYPE_CHECKING:
    from sprayout_library.store import Store

__all__ = ["folder_of", "standing"]


def folder_of(store: Store) -> Path:
    """Return where this machine keeps the index of a library."""
    return home() / "index" / store.facts.facts.path.stem


def standing(store: Store) -> tuple[Path, Seal] | None:
    """Return folder and seal of an index that is whole and stands where the store reads, else None."""
    folder = folder_of(store)
    try:
        seal = Seal.read(folder / "seal.json")
        fits = seal.mark == store.facts.mark and seal.head == (store.head or "") and seal.check(folder)
    except Broken:
        return None
    return (folder, seal) if fits else None
