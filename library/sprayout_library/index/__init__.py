"""Finding: an index of this machine over a library, by words, by what is in it, by evidence and by colour."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sprayout_library.index.finding import Found, Near, Question, Shown, find
    from sprayout_library.index.nearest import brute_force, nearest
    from sprayout_library.index.opened import Index, Known
    from sprayout_library.index.targets import Target, read_target

__all__ = [
    "Found",
    "Index",
    "Known",
    "Near",
    "Question",
    "Shown",
    "Target",
    "brute_force",
    "find",
    "nearest",
    "read_target",
]

_HELD_BY = {
    "finding": ("Found", "Near", "Question", "Shown", "find"),
    "nearest": ("brute_force", "nearest"),
    "opened": ("Index", "Known"),
    "targets": ("Target", "read_target"),
}
_MODULE = {name: module for module, names in _HELD_BY.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name: commands that search words start without arrays."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)
