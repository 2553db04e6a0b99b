"""Labels for cups and panels: the code of the exact version, the shop's own mark and short facts."""

from sprayout_plugins.panel_label.grid import GridError, LabelGrid, single
from sprayout_plugins.panel_label.pdf import LabelSpaceError, labels_pdf

__all__ = ["GridError", "LabelGrid", "LabelSpaceError", "labels_pdf", "single"]
