"""Labels for cups and panels: the code of the exact version, the shop's own mark and short facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from sprayout_plugins.hooks import answers
from sprayout_plugins.panel_label.grid import GridError, LabelGrid, grid_and_used, single
from sprayout_plugins.panel_label.pdf import LabelSpaceError, labels_pdf

if TYPE_CHECKING:
    from sprayout_core.sheet import LabelText

__all__ = [
    "GridError", "LabelGrid", "LabelSpaceError", "grid_and_used", "labels_pdf", "print_labels", "single",
    "sprayout_contract",
]  # fmt: skip

sprayout_contract = "1.0"


@answers
def print_labels(labels: Sequence[LabelText], grid: Mapping[str, str]) -> bytes | None:
    """Return the labels as PDF on the grid that is told."""
    where, used = grid_and_used(grid)
    return labels_pdf(labels, where, used)
