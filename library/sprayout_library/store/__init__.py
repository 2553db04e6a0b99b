"""The store keeps a library: documents in a bare git repository, read at one moment, saved whole or not at all."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sprayout_library.store.begun import manifest, manifests, manifests_in_order
    from sprayout_library.store.care import Condition, check, clear_locks, pack, repair, wants_packing
    from sprayout_library.store.commits import FOLD_RULES, Commit, Person, read_commit
    from sprayout_library.store.errors import (
        BusyError,
        DamagedError,
        FullDiskError,
        GitError,
        GitTimeoutError,
        NotALibraryError,
        ReadOnlyError,
        StaleError,
        StoreError,
        UnsafeError,
    )
    from sprayout_library.store.git import Git
    from sprayout_library.store.inflow import Inflow
    from sprayout_library.store.layout import path_of, place_of
    from sprayout_library.store.store import Store
    from sprayout_library.store.versions import Version
    from sprayout_library.store.writing import Author, Written

__all__ = [
    "FOLD_RULES",
    "Author",
    "BusyError",
    "Commit",
    "Condition",
    "DamagedError",
    "FullDiskError",
    "Git",
    "GitError",
    "GitTimeoutError",
    "Inflow",
    "NotALibraryError",
    "Person",
    "ReadOnlyError",
    "StaleError",
    "Store",
    "StoreError",
    "UnsafeError",
    "Version",
    "Written",
    "check",
    "clear_locks",
    "manifest",
    "manifests",
    "manifests_in_order",
    "pack",
    "path_of",
    "place_of",
    "read_commit",
    "repair",
    "wants_packing",
]

_HELD_BY = {
    "care": ("Condition", "check", "clear_locks", "pack", "repair", "wants_packing"),
    "commits": ("FOLD_RULES", "Commit", "Person", "read_commit"),
    "errors": (
        "BusyError",
        "DamagedError",
        "FullDiskError",
        "GitError",
        "GitTimeoutError",
        "NotALibraryError",
        "ReadOnlyError",
        "StaleError",
        "StoreError",
        "UnsafeError",
    ),
    "git": ("Git",),
    "inflow": ("Inflow",),
    "layout": ("path_of", "place_of"),
    "begun": ("manifest", "manifests", "manifests_in_order"),
    "store": ("Store",),
    "versions": ("Version",),
    "writing": ("Author", "Written"),
}
_MODULE = {name: module for module, names in _HELD_BY.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name: commands that read by the index start without the models."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)
