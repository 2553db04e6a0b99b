"""Hiding: how much of black and white still shows through a coat."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["Hiding", "hiding"]


@dataclass(frozen=True, slots=True)
class Hiding:
    """Contrast ratio Y over black / Y over white, with its 95 % interval; 1 hides wholly (ISO 6504-3)."""

    ratio: float
    low: float
    high: float


def hiding(lightness_black: float, lightness_white: float, doubt: float) -> Hiding:
    """Return the contrast ratio of one coat over black and over white.

    lightness_black, lightness_white   L* of the coat over each
    doubt    what 95 % of the errors of an L* stay below

    The doubts of the two are taken as independent; on a very dark coat the interval is wide, as it should be.
    """
    ratio = _luminance(lightness_black) / _luminance(lightness_white)
    apart = math.hypot(_log_doubt(lightness_black, doubt), _log_doubt(lightness_white, doubt))
    return Hiding(ratio, ratio * math.exp(-apart), ratio * math.exp(apart))


def _luminance(lightness: float) -> float:
    """Return Y/Yn of an L* (ISO/CIE 11664-4), never zero."""
    root = (lightness + 16.0) / 116.0
    value = root**3 if root > 6.0 / 29.0 else (root - 4.0 / 29.0) * 3.0 * (6.0 / 29.0) ** 2
    return max(value, 1e-5)


def _log_doubt(lightness: float, doubt: float) -> float:
    return 0.5 * math.log(_luminance(lightness + doubt) / _luminance(lightness - doubt))
