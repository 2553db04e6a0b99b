"""What a difference is made of: lightness, chroma and hue."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.blocks import pairs
from sprayout_core.difference.hue import hue_step

__all__ = ["Components", "components"]

Array = npt.NDArray[np.float64]


class Components(NamedTuple):
    """Trial less standard, each (...): dL, dC, dH and da, db in CIELAB units.

    lightness  dL*, positive where the trial is lighter
    chroma     dC*ab, positive where the trial has more chroma
    hue        dH*ab, positive where the trial's hue angle is larger
    redness    da*
    yellowness db*
    """

    lightness: Array
    chroma: Array
    hue: Array
    redness: Array
    yellowness: Array


def components(standard: npt.ArrayLike, trial: npt.ArrayLike) -> Components:
    """Return the components of the difference of pairs of CIELAB colours, (..., 3) and (..., 3) -> (...).

    ISO/CIE 11664-4: dL^2 + dC^2 + dH^2 is the square of the CIE 1976 difference.
    raises  ShapeError, NotFiniteError
    """
    first, second = pairs(standard, trial)
    (a1, b1), (a2, b2) = (np.moveaxis(values[..., 1:], -1, 0) for values in (first, second))
    apart = second - first
    return Components(
        apart[..., 0],
        np.hypot(a2, b2) - np.hypot(a1, b1),
        hue_step(a1, b1, a2, b2),
        apart[..., 1],
        apart[..., 2],
    )
