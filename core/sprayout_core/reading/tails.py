"""Tail probabilities of the F and chi-squared distributions, for whole arrays."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

__all__ = ["chi_squared_3_tail", "f_3_tail"]

Array = npt.NDArray[np.float64]

_TERMS = 200
_TINY = 1e-300


def chi_squared_3_tail(values: npt.ArrayLike) -> Array:
    """Return the probability that chi-squared with 3 degrees of freedom exceeds the values, (...)."""
    x = np.asarray(values, dtype=float)
    root = np.sqrt(0.5 * x)
    beyond = np.vectorize(math.erfc, otypes=[float])(root)
    result: Array = beyond + 2.0 / math.sqrt(math.pi) * root * np.exp(-0.5 * x)
    return result


def f_3_tail(values: npt.ArrayLike, freedom: npt.ArrayLike) -> Array:
    """Return the probability that F with 3 and `freedom` degrees of freedom exceeds the values, (...).

    It is the regularised incomplete beta function I_x(freedom/2, 3/2) at x = freedom / (freedom + 3 F).
    """
    f, nu = np.broadcast_arrays(np.asarray(values, dtype=float), np.asarray(freedom, dtype=float))
    result: Array = _incomplete_beta(0.5 * nu, 1.5, nu / (nu + 3.0 * f))
    return result


def _incomplete_beta(a: Array, b: float, x: Array) -> Array:
    """Return I_x(a, b) by its continued fraction, from the side where that converges fast."""
    swap = x > (a + 1.0) / (a + b + 2.0)
    first, second = np.where(swap, b, a), np.where(swap, a, b)
    point = np.where(swap, 1.0 - x, x)
    gamma = np.vectorize(math.lgamma, otypes=[float])
    with np.errstate(divide="ignore"):
        log_front = gamma(a + b) - gamma(a) - math.lgamma(b) + first * np.log(point) + second * np.log1p(-point)
    part = np.exp(log_front) * _fraction(first, second, point) / first
    result: Array = np.where(swap, 1.0 - part, part)
    return result


def _fraction(a: Array, b: Array, x: Array) -> Array:
    """Return the continued fraction of the incomplete beta function, by the method of Lentz."""
    c = np.ones_like(x)
    d = 1.0 / _away_from_zero(1.0 - (a + b) * x / (a + 1.0))
    total = d.copy()
    for m in range(1, _TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        for term in (even, odd):
            d = 1.0 / _away_from_zero(1.0 + term * d)
            c = _away_from_zero(1.0 + term / c)
            total = total * c * d
        if (np.abs(c * d - 1.0) < 1e-15).all():
            break
    return total


def _away_from_zero(values: Array) -> Array:
    result: Array = np.where(np.abs(values) < _TINY, _TINY, values)
    return result
