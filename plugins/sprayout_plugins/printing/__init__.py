"""What every printed page shares: the font, text that fits or is visibly shortened, the code's squares."""

from sprayout_plugins.printing.fonts import BOLD, REGULAR, printable, ready, unprintable, width
from sprayout_plugins.printing.squares import dark_runs, draw_code, module_mm
from sprayout_plugins.printing.text import shorten, wrap, wrap_at_most

__all__ = [
    "BOLD",
    "REGULAR",
    "dark_runs",
    "draw_code",
    "module_mm",
    "printable",
    "ready",
    "shorten",
    "unprintable",
    "width",
    "wrap",
    "wrap_at_most",
]
