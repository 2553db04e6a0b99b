"""Labels for cups and panels: the code of the exact version, the shop's own mark and short facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any

from sprayout_plugins.hooks import answers

if TYPE_CHECKING:
    from sprayout_core.sheet import LabelText
    from sprayout_plugins.panel_label.grid import GridError, LabelGrid, grid_and_used, single
    from sprayout_plugins.panel_label.pdf import LabelSpaceError, labels_pdf

__all__ = [
    "GridError", "LabelGrid", "LabelSpaceError", "grid_and_used", "labels_pdf", "print_labels", "single",
    "sprayout_contract",
]  # fmt: skip

sprayout_contract = "1.0"


@answers
def print_labels(labels: Sequence[LabelText], grid: Mapping[str, str]) -> bytes | None:
    """Return the labels as PDF on the grid that is told."""
    from sprayout_plugins.panel_label.grid import grid_and_used
    from sprayout_plugins.panel_label.pdf import labels_pdf

    where, used = grid_and_used(grid)
    return labels_pdf(labels, where, used)


_HELD_BY = {
    "GridError": "grid",
    "LabelGrid": "grid",
    "LabelSpaceError": "pdf",
    "grid_and_used": "grid",
    "labels_pdf": "pdf",
    "single": "grid",
}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name: finding plugins loads none of what prints."""
    if name not in _HELD_BY:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HELD_BY[name]}"), name)
