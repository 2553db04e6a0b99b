"""The CIEDE2000 colour difference (ISO/CIE 11664-6)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.blocks import in_blocks
from sprayout_core.difference.weights import Weights

__all__ = ["ciede2000"]

Array = npt.NDArray[np.float64]

_Polar = tuple[Array, Array, Array]
"""a', b and C' of colours."""

_25_TO_THE_7 = 25.0**7
_TURN = 2.0 * np.pi
_UNDERFLOW = 1e-200


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
    cosine, sine, hue_step = _hues((a1, b1, chroma1), (a2, b2, chroma2))

    mid = np.square(0.5 * (lightness1 + lightness2) - 50.0)
    light_step = (lightness2 - lightness1) / (factors.lightness * (1.0 + 0.015 * mid / np.sqrt(20.0 + mid)))
    chroma_step = (chroma2 - chroma1) / (factors.chroma * (1.0 + 0.045 * mean_chroma))
    hue_step /= factors.hue * (1.0 + 0.015 * mean_chroma * _hue_weight(cosine, sine))

    rotation = -2.0 * _share(mean_chroma) * np.sin(np.radians(60.0) * _near_blue(cosine, sine))
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


def _hues(first: _Polar, second: _Polar) -> tuple[Array, Array, Array]:
    """Return cosine and sine of the mean hue, and the signed hue difference dH.

    The mean hue halves the smaller angle between the two, so it is found by adding the two directions,
    without any arc tangent. Near opposed hues, and where one colour is neutral, that sum says nothing:
    those few are done by their angles.
    """
    (a1, b1, chroma1), (a2, b2, chroma2) = first, second
    product = chroma1 * chroma2
    dot = a1 * a2 + b1 * b2
    together = product + dot
    special = (together <= 0.01 * product) | (product < _UNDERFLOW)
    together = np.where(special, 1.0, together)
    product = np.where(special, 1.0, product)
    slope = np.sqrt(2.0 / together)
    scale = 0.5 * slope / np.sqrt(product)
    cosine = (a1 * chroma2 + a2 * chroma1) * scale
    sine = (b1 * chroma2 + b2 * chroma1) * scale
    step = (a1 * b2 - a2 * b1) * slope
    if special.any():
        chosen = (tuple(part[special] for part in side) for side in (first, second))
        cosine[special], sine[special], step[special] = _hues_by_angle(*chosen)
    return cosine, sine, step


def _hues_by_angle(first: tuple[Array, ...], second: tuple[Array, ...]) -> tuple[Array, Array, Array]:
    """Return what `_hues` does, by the published branches.

    Where one colour is neutral its hue is undefined: the other's counts, and the difference is nothing.
    """
    (a1, b1, chroma1), (a2, b2, chroma2) = first, second
    hue1, hue2 = (np.where(hue < 0.0, hue + _TURN, hue) for hue in (np.arctan2(b1, a1), np.arctan2(b2, a2)))
    apart, total = hue2 - hue1, hue1 + hue2
    # exactly opposed hues are 180 degrees apart, which is not more than 180, whatever rounding makes of it
    wide = (np.abs(apart) > np.pi) & (a1 * b2 != a2 * b1)
    apart = np.where(wide, apart - np.copysign(_TURN, apart), apart)
    mean = 0.5 * total + wide * np.where(total < _TURN, np.pi, -np.pi)
    product = chroma1 * chroma2
    mean = np.where(product == 0.0, total, mean)
    return np.cos(mean), np.sin(mean), 2.0 * np.sqrt(product) * np.sin(0.5 * apart)


def _near_blue(cosine: Array, sine: Array) -> Array:
    """Return exp(-((h - 275) / 25)^2) with h from 0 to 360 degrees, as published."""
    hue = np.arctan2(sine, cosine)
    hue += _TURN * (hue < 0.0)
    hue -= np.radians(275.0)
    hue *= 180.0 / np.pi / 25.0
    result: Array = np.exp(-(hue * hue))
    return result


def _hue_weight(c: Array, s: Array) -> Array:
    """Return T from cosine and sine of the mean hue, by multiple angles."""
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
