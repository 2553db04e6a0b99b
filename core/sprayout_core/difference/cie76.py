"""The plain distance in CIELAB (ISO/CIE 11664-4)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.blocks import pairs

__all__ = ["cie76"]


def cie76(standard: npt.ArrayLike, trial: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Return the CIE 1976 difference of pairs of CIELAB colours.

    standard  L*, a*, b*                     (..., 3)
    trial     L*, a*, b*, same view          (..., 3)
    returns   difference, CIELAB units       (...)
    raises    ShapeError, NotFiniteError

    ISO/CIE 11664-4. Symmetric.
    """
    first, second = pairs(standard, trial)
    result: npt.NDArray[np.float64] = np.sqrt(np.square(first - second).sum(axis=-1))
    return result
