"""The CIEDE2000 colour difference (ISO/CIE 11664-6)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.blocks import in_blocks
from sprayout_core.difference.weights import Weights

__all__ = ["ciede2000"]

Array = npt.NDArray[np.float64]

_25_TO_THE_7 = 25.0**7


def ciede2000(standard: npt.ArrayLike, trial: npt.ArrayLike, weights: Weights | None = None) -> Array:
    """Return the CIEDE2000 difference of pairs of CIELAB colours.

    standard  L*, a*, b*                              (..., 3)
    trial     L*, a*, b*, same view                   (..., 3)
    weights   kL, kC, kH; all 1 unless given
    returns   difference                              (...)
    raises    ShapeError, NotFiniteError

    ISO/CIE 11664-6:2022; exactly opposed hues take the branch of Sharma, Wu, Dalal (2005). Symmetric. Meant
    for differences below about 5 between uniform fields; it is not a distance that can be added up.
    """
    factors = weights or Weights()
    return in_blocks(lambda first, second: _block(first, second, factors), standard, trial)


def _block(first: Array, second: Array, factors: Weights) -> Array:
    lightness1, a1, b1 = first
    lightness2, a2, b2 = second
    stretch = 1.5 - 0.5 * _share(0.5 * (np.sqrt(a1 * a1 + b1 * b1) + np.sqrt(a2 * a2 + b2 * b2)))
    # adding zero turns -0 into 0, whose angle is 0 and not half a turn
    a1, a2, b1, b2 = a1 * stretch + 0.0, a2 * stretch + 0.0, b1 + 0.0, b2 + 0.0
    chroma1, chroma2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)
    mean_chroma = 0.5 * (chroma1 + chroma2)
    hue, half = _hues(a1, b1, a2, b2, chroma1 * chroma2)

    mid = np.square(0.5 * (lightness1 + lightness2) - 50.0)
    light_step = (lightness2 - lightness1) / (factors.lightness * (1.0 + 0.015 * mid / np.sqrt(20.0 + mid)))
    chroma_step = (chroma2 - chroma1) / (factors.chroma * (1.0 + 0.045 * mean_chroma))
    hue_step = 2.0 * np.sqrt(chroma1 * chroma2) * np.sin(half)
    hue_step /= factors.hue * (1.0 + 0.015 * mean_chroma * _hue_weight(hue))

    turn = np.square((hue - np.radians(275.0)) * (180.0 / np.pi / 25.0))
    rotation = -2.0 * _share(mean_chroma) * np.sin(np.radians(60.0) * np.exp(-turn))
    total = light_step * light_step + chroma_step * chroma_step + hue_step * hue_step
    total += rotation * chroma_step * hue_step
    # rounding may leave a tiny negative where the pair is almost equal
    result: Array = np.sqrt(np.maximum(total, 0.0))
    return result


def _share(chroma: Array) -> Array:
    """Return sqrt(C^7 / (C^7 + 25^7))."""
    squared = chroma * chroma
    seventh = squared * squared * squared * chroma
    result: Array = np.sqrt(seventh / (seventh + _25_TO_THE_7))
    return result


def _hues(a1: Array, b1: Array, a2: Array, b2: Array, product: Array) -> tuple[Array, Array]:
    """Return the mean hue (0 to 2 pi) and half the signed hue difference, radians.

    Where one colour is neutral its hue is undefined: the other's counts, and the difference is nothing.
    """
    turn = 2.0 * np.pi
    hue1, hue2 = np.arctan2(b1, a1), np.arctan2(b2, a2)
    hue1 += turn * (hue1 < 0.0)
    hue2 += turn * (hue2 < 0.0)
    apart = hue2 - hue1
    total = hue1 + hue2
    wide = np.abs(apart) > np.pi
    apart -= np.copysign(turn, apart) * wide
    mean = 0.5 * total + wide * np.where(total < turn, np.pi, -np.pi)
    neutral = product == 0.0
    if neutral.any():
        mean = np.where(neutral, total, mean)
        apart = np.where(neutral, 0.0, apart)
    return mean, 0.5 * apart


def _hue_weight(hue: Array) -> Array:
    """Return T, by multiple angles of one sine and one cosine."""
    c, s = np.cos(hue), np.sin(hue)
    c2, s2 = c * c - s * s, 2.0 * c * s
    c3, s3 = c2 * c - s2 * s, s2 * c + c2 * s
    c4, s4 = c2 * c2 - s2 * s2, 2.0 * c2 * s2
    result: Array = (
        1.0
        - 0.17 * (c * _COS30 + s * _SIN30)
        + 0.24 * c2
        + 0.32 * (c3 * _COS6 - s3 * _SIN6)
        - 0.20 * (c4 * _COS63 + s4 * _SIN63)
    )
    return result


_COS30, _SIN30 = np.cos(np.radians(30.0)), np.sin(np.radians(30.0))
_COS6, _SIN6 = np.cos(np.radians(6.0)), np.sin(np.radians(6.0))
_COS63, _SIN63 = np.cos(np.radians(63.0)), np.sin(np.radians(63.0))
