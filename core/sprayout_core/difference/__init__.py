"""Difference: how far a trial is from its standard, in the published formulas and in the painter's words."""

from sprayout_core.difference.cie76 import cie76
from sprayout_core.difference.ciede2000 import ciede2000
from sprayout_core.difference.weights import (
    GRAPHIC_ARTS,
    TEXTILES,
    Cie94Weights,
    DifferenceError,
    Weights,
    WeightsError,
)

__all__ = [
    "GRAPHIC_ARTS",
    "TEXTILES",
    "Cie94Weights",
    "DifferenceError",
    "Weights",
    "WeightsError",
    "cie76",
    "ciede2000",
]
