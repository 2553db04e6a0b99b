"""How much a step in lightness, chroma and hue counts in a difference formula."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError

__all__ = ["GRAPHIC_ARTS", "TEXTILES", "Cie94Weights", "DifferenceError", "Weights", "WeightsError"]


class DifferenceError(SprayoutError):
    """The root of every refusal about differences and tolerances."""


class WeightsError(DifferenceError):
    """A weight that is not a positive number."""


@dataclass(frozen=True, slots=True)
class Weights:
    """The parametric factors kL, kC, kH: a larger one lets that step count less.

    raises  WeightsError
    """

    lightness: float = 1.0
    chroma: float = 1.0
    hue: float = 1.0

    def __post_init__(self) -> None:
        for name in ("lightness", "chroma", "hue"):
            positive(getattr(self, name), name)


@dataclass(frozen=True, slots=True)
class Cie94Weights(Weights):
    """The factors of CIE94: kL, kC, kH, and K1, K2 that scale with the standard's chroma."""

    k1: float = 0.045
    k2: float = 0.015

    def __post_init__(self) -> None:
        for name in ("lightness", "chroma", "hue", "k1", "k2"):
            positive(getattr(self, name), name)


def positive(value: float, place: str) -> None:
    """Raise WeightsError unless the value is a positive number."""
    if not (math.isfinite(value) and value > 0):
        raise WeightsError(f"a weight of {value!r}", "Give a positive number.", place=place)


GRAPHIC_ARTS = Cie94Weights()
"""CIE 116-1995: kL = 1, K1 = 0.045, K2 = 0.015."""

TEXTILES = Cie94Weights(lightness=2.0, k1=0.048, k2=0.014)
"""CIE 116-1995: kL = 2, K1 = 0.048, K2 = 0.014."""
