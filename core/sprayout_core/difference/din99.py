"""Colour differences as distances in the DIN99 and DIN99o spaces (DIN 6176)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.cie76 import cie76
from sprayout_core.light import spaces

__all__ = ["din99", "din99o"]

Array = npt.NDArray[np.float64]


def din99(standard: npt.ArrayLike, trial: npt.ArrayLike) -> Array:
    """Return the DIN99 difference of pairs of CIELAB colours, (..., 3) and (..., 3) -> (...).

    DIN 6176:2001, constants of ASTM D2244-07. Symmetric.
    raises  ShapeError, NotFiniteError
    """
    return cie76(spaces.din99(standard), spaces.din99(trial))


def din99o(standard: npt.ArrayLike, trial: npt.ArrayLike) -> Array:
    """Return the DIN99o difference of pairs of CIELAB colours, (..., 3) and (..., 3) -> (...).

    DIN 6176, later edition. Symmetric.
    raises  ShapeError, NotFiniteError
    """
    return cie76(spaces.din99o(standard), spaces.din99o(trial))
