"""Screen colour: CIELAB to sRGB, with what a screen cannot show said and brought in (IEC 61966-2-1)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from sprayout_core.light.adaptation import adapted
from sprayout_core.light.cielab import triples, xyz
from sprayout_core.light.tristimulus import white
from sprayout_core.light.view import View

__all__ = ["Screen", "hexadecimal", "srgb"]

Array = npt.NDArray[np.float64]

_TO_LINEAR = np.linalg.inv(np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]))
_SCREEN_WHITE = 100.0 * np.array([0.9505, 1.0, 1.0890])
_GRID = np.arange(360.0, 781.0, 10.0)

_HALF_A_STEP = 0.5 / 255.0
"""A colour is inside the gamut when no channel is out by more than half a step of eight bits."""

_HALVINGS = 24


class Screen(NamedTuple):
    """Colours for a screen.

    rgb        sRGB, 0 to 1, brought into the gamut                                          (..., 3)
    in_gamut   false where the screen cannot show the colour and chroma had to be lowered    (...)
    """

    rgb: Array
    in_gamut: npt.NDArray[np.bool_]


def srgb(lab: npt.ArrayLike, view: View | None = None) -> Screen:
    """Return sRGB values of CIELAB colours, and whether the screen can show each.

    lab      L*, a*, b*                                              (..., 3)
    view     the view of the colours; D65 and 10 degrees unless given
    returns  rgb (..., 3) in 0 to 1, in_gamut (...)
    raises   ShapeError, NotFiniteError

    IEC 61966-2-1 after adaptation of the view's white to the screen's. A colour outside the gamut keeps its
    lightness and hue angle and loses chroma until it fits; above L* 100 it becomes white, below 0 black.
    """
    values = triples(lab, "lab")
    reference = white(view, _GRID)
    encoded = _encoded(values, reference)
    inside = _fits(encoded)
    if not inside.all():
        encoded[~inside] = _encoded(_less_chroma(values[~inside], reference), reference)
    return Screen(np.clip(encoded, 0.0, 1.0), inside)


def hexadecimal(rgb: npt.ArrayLike) -> str:
    """Return one sRGB colour (3,), 0 to 1, as #rrggbb."""
    red, green, blue = np.clip(np.round(triples(rgb, "rgb") * 255.0), 0, 255).astype(int).tolist()
    return f"#{red:02x}{green:02x}{blue:02x}"


def _encoded(lab: Array, reference: Array) -> Array:
    """Return sRGB values that may leave 0 to 1."""
    linear = adapted(xyz(lab, reference), reference, _SCREEN_WHITE) / 100.0 @ _TO_LINEAR.T
    # the curve goes on straight below zero, so that what is out stays out
    bright = 1.055 * np.maximum(linear, 0.0031308) ** (1.0 / 2.4) - 0.055
    result: Array = np.where(linear <= 0.0031308, 12.92 * linear, bright)
    return result


def _fits(encoded: Array) -> npt.NDArray[np.bool_]:
    within = (encoded > -_HALF_A_STEP) & (encoded < 1.0 + _HALF_A_STEP)
    return np.asarray(within.all(axis=-1))


def _less_chroma(lab: Array, reference: Array) -> Array:
    """Return the colours with the most chroma that fits, by halving the interval, (k, 3) -> (k, 3)."""
    neutral = lab * [1.0, 0.0, 0.0]
    neutral[:, 0] = np.clip(neutral[:, 0], 0.0, 100.0)
    low, high = np.zeros(lab.shape[0]), np.ones(lab.shape[0])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        fits = _fits(_encoded(neutral + middle[:, np.newaxis] * _chroma_only(lab), reference))
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return neutral + low[:, np.newaxis] * _chroma_only(lab)


def _chroma_only(lab: Array) -> Array:
    return lab * [0.0, 1.0, 1.0]
