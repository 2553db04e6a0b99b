"""From readings to colours and back to how far a spread of readings reaches in colour difference."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.light import View, lab, tristimulus, white

__all__ = ["Eye", "radius_95"]

Array = NDArray[np.float64]
_H = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Eye:
    """A view on one grid of wavelengths, with the matrix from reflectance to tristimulus values worked out once."""

    matrix: Array  # (n, 3)
    white: Array  # (3,)

    @staticmethod
    def of(wavelengths: Array, view: View) -> Eye:
        """Return the eye for a grid and a view (ASTM E308 weights through the light room)."""
        matrix = tristimulus(np.eye(wavelengths.size), wavelengths, view)
        return Eye(np.asarray(matrix, float), np.asarray(white(view, wavelengths), float))

    def lab(self, reading: Array) -> Array:
        """Return CIELAB of readings, (..., n) -> (..., 3)."""
        return np.asarray(lab(reading @ self.matrix, self.white), float)

    def slope(self, reading: Array) -> Array:
        """Return the change of L*, a*, b* with the reading in each band, (3, n)."""
        base = self.lab(reading)
        steps = reading + 1e-6 * np.eye(reading.size)
        return np.asarray((self.lab(steps) - base).T / 1e-6, float)


def difference_metric(colour: Array) -> Array:
    """Return M with dE00^2 = d^T M d for small differences d of L*, a*, b* about a colour, (3, 3)."""
    axes = np.eye(3)
    pairs = np.array([axes[0], axes[1], axes[2], axes[0] + axes[1], axes[0] + axes[2], axes[1] + axes[2]])
    squares = (np.asarray(ciede2000(colour, colour + _H * pairs)) / _H) ** 2
    metric = np.diag(squares[:3])
    for value, (i, j) in zip(squares[3:], ((0, 1), (0, 2), (1, 2)), strict=True):
        metric[i, j] = metric[j, i] = 0.5 * (value - squares[i] - squares[j])
    return np.asarray(metric, float)


def spread_along(colour: Array, covariance: Array) -> Array:
    """Return the variances of a colour's spread along its own axes of dE00, (3,), largest last."""
    metric = difference_metric(colour)
    values, vectors = np.linalg.eigh(metric)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    return np.asarray(np.maximum(np.linalg.eigvalsh(root.T @ covariance @ root), 0.0), float)


def radius_95(variances: Array) -> float:
    """Return the dE00 that 95 % of a normal spread stays within, from its variances along its axes.

    The sum of squares is taken as a scaled chi-squared with the same mean and variance (Satterthwaite 1946),
    whose 95 % point follows Wilson and Hilferty 1931; within 2 % of the exact value.
    """
    total = float(np.sum(variances))
    if total <= 0:
        return 0.0
    squares = float(np.sum(variances**2))
    freedom = total**2 / squares
    cube = 1.0 - 2.0 / (9.0 * freedom) + 1.6449 * np.sqrt(2.0 / (9.0 * freedom))
    return float(np.sqrt(squares / total * freedom * cube**3))
