"""CIELAB coordinates from tristimulus values and back (ISO/CIE 11664-4)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.light.errors import NotFiniteError, ShapeError

__all__ = ["from_lch", "lab", "lch", "three", "triples", "xyz"]

Array = npt.NDArray[np.float64]

_JOINT = (6.0 / 29.0) ** 3
_SLOPE = (29.0 / 6.0) ** 2 / 3.0
_OFFSET = 4.0 / 29.0

_BLOCK = 8192
"""Colours worked on at a time, so that what is made on the way stays in the processor's cache."""


def lab(xyz: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """Return CIELAB L*, a*, b* of tristimulus values.

    xyz      X, Y, Z                                                  (..., 3)
    white    X, Y, Z of the perfect diffuser in the same view         (..., 3)
    returns  L*, a*, b*; L* above 100 is legal near the gloss angle   (..., 3)
    raises   ShapeError, NotFiniteError

    ISO/CIE 11664-4, with the exact joint (6/29)^3.
    """
    values, reference = triples(xyz, "xyz"), triples(white, "white")
    if not (reference > 0).all():
        raise NotFiniteError("a white has a value of zero or less", "Give X, Y, Z of the white.", place="white")
    shape = np.broadcast_shapes(values.shape, reference.shape)
    columns = np.broadcast_to(values, shape).reshape(-1, 3).T
    many = reference.ndim > 1
    whites = np.broadcast_to(reference, shape).reshape(-1, 3).T if many else reference.reshape(3, 1)
    result = np.empty((columns.shape[1], 3))
    for start in range(0, columns.shape[1], _BLOCK):
        part = slice(start, start + _BLOCK)
        # in rows of one coordinate each: a last axis of three is slow to walk along
        ratio = np.array(columns[:, part], order="C")
        ratio /= whites[:, part] if many else whites
        x, y, z = _compressed(ratio)
        result[part, 0] = 116.0 * y - 16.0
        result[part, 1] = 500.0 * (x - y)
        result[part, 2] = 200.0 * (y - z)
    return result.reshape(shape)


def xyz(lab: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """Return tristimulus values of CIELAB coordinates, the inverse of `lab`, (..., 3) -> (..., 3)."""
    values, reference = triples(lab, "lab"), triples(white, "white")
    y = (values[..., 0] + 16.0) / 116.0
    root = np.stack([y + values[..., 1] / 500.0, y, y - values[..., 2] / 200.0], axis=-1)
    result: Array = np.where(root > 6.0 / 29.0, root**3, (root - _OFFSET) / _SLOPE) * reference
    return result


def lch(lab: npt.ArrayLike) -> Array:
    """Return lightness, chroma and hue angle of CIELAB or any like coordinates.

    lab      L, a, b                                                      (..., 3)
    returns  L, C, h with h in degrees, 0 to below 360, 0 for neutrals     (..., 3)
    """
    values = triples(lab, "lab")
    result = np.empty_like(values)
    result[..., 0] = values[..., 0]
    result[..., 1] = np.hypot(values[..., 1], values[..., 2])
    hue = np.degrees(np.arctan2(values[..., 2], values[..., 1])) % 360.0
    # a tiny negative angle becomes 360 itself in the remainder
    result[..., 2] = np.where((hue >= 360.0) | (result[..., 1] == 0.0), 0.0, hue)
    return result


def from_lch(lch: npt.ArrayLike) -> Array:
    """Return L, a, b of lightness, chroma and hue angle in degrees, (..., 3) -> (..., 3)."""
    values = triples(lch, "lch")
    hue = np.radians(values[..., 2])
    chroma = values[..., 1]
    return np.stack([values[..., 0], chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


def triples(values: npt.ArrayLike, place: str) -> Array:
    """Return values as an array whose last axis is three long and finite.

    raises  ShapeError, NotFiniteError, both naming the place
    """
    array = three(values, place)
    if not np.isfinite(array).all():
        raise NotFiniteError(
            "a coordinate is not a number, or infinite",
            "Leave the colour out or measure it again.",
            place=place,
        )
    return array


def three(values: npt.ArrayLike, place: str) -> Array:
    """Return values as an array whose last axis is three long; raises ShapeError naming the place."""
    array = np.asarray(values, dtype=float)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ShapeError(f"an array of shape {array.shape}", "Give three coordinates on the last axis.", place=place)
    return array


def _compressed(ratio: Array) -> Array:
    """Return f(t) of ISO/CIE 11664-4."""
    root = np.cbrt(ratio)
    if ratio.size and ratio.min() <= _JOINT:
        dark = ratio <= _JOINT
        root[dark] = _SLOPE * ratio[dark] + _OFFSET
    return root
