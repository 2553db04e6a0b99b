"""Other coordinates than CIELAB: CIELUV, DIN99 and DIN99o."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.light.cielab import lab, triples

__all__ = ["din99", "din99o", "luv"]

Array = npt.NDArray[np.float64]


def luv(xyz: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """Return CIELUV L*, u*, v* of tristimulus values.

    xyz      X, Y, Z                                               (..., 3)
    white    X, Y, Z of the perfect diffuser in the same view      (..., 3)
    returns  L*, u*, v*; black has u* = v* = 0                     (..., 3)
    raises   ShapeError, NotFiniteError

    ISO/CIE 11664-5.
    """
    values, reference = triples(xyz, "xyz"), triples(white, "white")
    lightness = lab(values, reference)[..., 0]
    apart = _uv(values) - _uv(reference)
    return np.concatenate([lightness[..., np.newaxis], 13.0 * lightness[..., np.newaxis] * apart], axis=-1)


def _uv(xyz: Array) -> Array:
    """Return u', v' (ISO/CIE 11664-5); zero where there is no light, whose L* is zero anyway."""
    below = xyz @ np.array([1.0, 15.0, 3.0])
    safe = np.where(below == 0.0, 1.0, below)
    return np.stack([4.0 * xyz[..., 0] / safe, 9.0 * xyz[..., 1] / safe], axis=-1)


def din99(lab: npt.ArrayLike) -> Array:
    """Return DIN99 L99, a99, b99 of CIELAB coordinates for D65, (..., 3) -> (..., 3).

    DIN 6176:2001 with the constants of ASTM D2244-07: 105.51, 0.0158, 16 degrees, 0.7, 0.045; kE = kCH = 1.
    """
    values = triples(lab, "lab")
    lightness = 105.51 * np.log1p(0.0158 * values[..., 0])
    e, f = _rotated(values, 16.0, 0.7)
    spread = np.hypot(e, f)
    chroma = np.log1p(0.045 * spread) / 0.045
    hue = np.arctan2(f, e)
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


def din99o(lab: npt.ArrayLike) -> Array:
    """Return DIN99o L, a, b of CIELAB coordinates for D65, (..., 3) -> (..., 3).

    DIN 6176 in its later edition: 303.67, 0.0039, 26 degrees, 0.83, 0.075, 0.0435; kE = kCH = 1.
    """
    values = triples(lab, "lab")
    lightness = 303.67 * np.log1p(0.0039 * values[..., 0])
    e, f = _rotated(values, 26.0, 0.83)
    chroma = np.log1p(0.075 * np.hypot(e, f)) / 0.0435
    hue = np.arctan2(f, e) + np.radians(26.0)
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


def _rotated(lab: Array, degrees: float, squeeze: float) -> tuple[Array, Array]:
    """Return the redness and yellowness axes of DIN 6176, turned and squeezed."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    a, b = lab[..., 1], lab[..., 2]
    return a * c + b * s, squeeze * (b * c - a * s)
