"""A mix: what is in it, how it is written, how much of it, and how it is poured."""

from sprayout_core.mix.composition import NeedsDensity, as_sprayed, by_mass, composition, density, grams
from sprayout_core.mix.line import Line, LineError, Part, parse_line, read_back

__all__ = [
    "Line", "LineError", "NeedsDensity", "Part", "as_sprayed", "by_mass", "composition", "density", "grams",
    "parse_line", "read_back",
]  # fmt: skip
