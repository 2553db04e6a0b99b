"""Pictures: measured colour drawn as SVG text, each with its words for those who do not see it."""

from sprayout_core.pictures.bars import Bar, differences
from sprayout_core.pictures.cells import Cell, cells
from sprayout_core.pictures.chart import Marked, chart
from sprayout_core.pictures.curves import Curve, spectra, travel
from sprayout_core.pictures.plane import Dot, plane
from sprayout_core.pictures.svg import PictureError
from sprayout_core.pictures.swatches import Swatch, swatches

__all__ = [
    "Bar",
    "Cell",
    "Curve",
    "Dot",
    "Marked",
    "PictureError",
    "Swatch",
    "cells",
    "chart",
    "differences",
    "plane",
    "spectra",
    "swatches",
    "travel",
]
