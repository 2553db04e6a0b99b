"""The hue part of a difference, in a form that does not cancel."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

__all__ = ["hue_step"]

Array = npt.NDArray[np.float64]


_UNDERFLOW = 1e-200
"""Products of chromas below this are those of greys, whose hue step is nothing."""


def hue_step(a1: Array, b1: Array, a2: Array, b2: Array) -> Array:
    """Return the signed hue difference dH = 2 sqrt(C1 C2) sin(dh / 2); positive toward larger hue angles.

    The textbook dH^2 = 2 (C1 C2 - a1 a2 - b1 b2) loses all digits for small steps; with the cross product
    the same value keeps them. Exactly opposed hues count as positive.
    """
    product = np.hypot(a1, b1) * np.hypot(a2, b2)
    cross = a1 * b2 - a2 * b1
    dot = a1 * a2 + b1 * b2
    near = dot > _UNDERFLOW
    below = np.where(near, product + dot, 1.0)
    wide = np.sqrt(np.maximum(2.0 * (product - dot), 0.0))
    result: Array = np.where(near, cross * np.sqrt(2.0 / below), np.where(cross < 0.0, -wide, wide))
    return result
