"""Finding: an index of this machine over a library, by words, by what is in it, by evidence and by colour."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sprayout_library.index.bounded import brute_force, nearest
    from sprayout_library.index.finding import find
    from sprayout_library.index.kept_open import OpenIndex
    from sprayout_library.index.opened import Index, Known, Sprayed, asking
    from sprayout_library.index.question import Found, Near, Question, Shown, Uses
    from sprayout_library.index.stock import Place, baseline_grounds, stock_wall
    from sprayout_library.index.targets import Target, read_target
    from sprayout_library.index.twice import Double, doubles

__all__ = [
    "Double",
    "Found",
    "Index",
    "Known",
    "Near",
    "OpenIndex",
    "Place",
    "Question",
    "Shown",
    "Sprayed",
    "Target",
    "Uses",
    "asking",
    "baseline_grounds",
    "brute_force",
    "doubles",
    "find",
    "nearest",
    "read_target",
    "stock_wall",
]

_HELD_BY = {
    "twice": ("Double", "doubles"),
    "finding": ("find",),
    "kept_open": ("OpenIndex",),
    "question": ("Found", "Near", "Question", "Shown", "Uses"),
    "bounded": ("brute_force", "nearest"),
    "opened": ("Index", "Known", "Sprayed", "asking"),
    "stock": ("Place", "baseline_grounds", "stock_wall"),
    "targets": ("Target", "read_target"),
}
_MODULE = {name: module for module, names in _HELD_BY.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name: commands that search words start without arrays."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)
