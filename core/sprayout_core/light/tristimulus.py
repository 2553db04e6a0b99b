"""Tristimulus values from spectra, by weights made as in ASTM E2022 and used as in ASTM E308."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from sprayout_core.light import tables
from sprayout_core.light.errors import NotFiniteError
from sprayout_core.light.grid import FIRST, LAST, mismatch, understood
from sprayout_core.light.lagrange import interpolation
from sprayout_core.light.view import View, power

__all__ = ["tristimulus", "weights", "white"]

Array = npt.NDArray[np.float64]

_QUANTUM = 2.0**-40
"""Weights are whole multiples of this (about 1e-12), so that their sums are exact in any order and the
perfect diffuser is white to the last bit."""


def tristimulus(reflectance: npt.ArrayLike, wavelengths: npt.ArrayLike, view: View | None = None) -> Array:
    """Return the CIE tristimulus values of reflectance spectra.

    reflectance  reflectance factor, 1 for the perfect diffuser; may exceed 1       (..., n)
    wavelengths  nm, increasing, from 420 or less to 680 or more                    (n,)
    view         illuminant and observer; D65 and 10 degrees unless given
    returns      X, Y, Z, with Y = 100 for the perfect diffuser                     (..., 3)
    raises       GridError, ShapeError, NotFiniteError

    Weights by ASTM E2022 from 1 nm tables, 360 to 780 nm; weights of wavelengths that were not measured are
    added to the first and the last that were (ASTM E308). A grid that is not a standard one is reduced
    first: `understood(wavelengths).said` tells how. The data are taken as corrected for bandpass.
    """
    values = np.asarray(reflectance, dtype=float)
    table = weights(wavelengths, view)
    if values.ndim == 0 or values.shape[-1] != table.shape[0]:
        raise mismatch(values, table.shape[0])
    xyz: Array = values @ table
    if not np.isfinite(xyz).all():
        raise NotFiniteError(
            "a reflectance is not a number, or infinite",
            "Leave the spectrum out or measure it again.",
            place="reflectance",
        )
    return xyz


def white(view: View | None, wavelengths: npt.ArrayLike) -> Array:
    """Return the tristimulus values of the perfect diffuser for a view and a grid, (3,), Y = 100.

    It is the sum of the very weights that `tristimulus` uses, so a colour and its white always fit.
    """
    total: Array = weights(wavelengths, view).sum(axis=0)
    return total


def weights(wavelengths: npt.ArrayLike, view: View | None = None) -> Array:
    """Return the weights that take reflectances on these wavelengths to X, Y, Z.

    wavelengths  nm, increasing                          (n,)
    returns      one row for each wavelength             (n, 3)
    raises       GridError
    """
    nm = np.asarray(wavelengths, dtype=float)
    return _weights(tuple(nm.ravel().tolist()), view or View())


@lru_cache(maxsize=256)
def _weights(wavelengths: tuple[float, ...], view: View) -> Array:
    grid = understood(wavelengths)
    full = _standard_grid(int(grid.wavelengths[0]), grid.step)
    folded = _folded(_made(full, view), full, grid.wavelengths)
    table = _quantised(grid.matrix.T @ folded)
    table.setflags(write=False)
    return table


def _standard_grid(through: int, step: int) -> Array:
    """Return the wavelengths from 360 to 780 nm in a step, such that one of them is `through`."""
    first = FIRST + (through - FIRST) % step
    return np.arange(first, LAST + 1, step, dtype=float)


def _made(full: Array, view: View) -> Array:
    """Return the weights of the whole range (ASTM E2022), (m, 3), Y summing to 100."""
    nm, matching = tables.observer(view.observer)
    within = (nm >= FIRST) & (nm <= LAST)
    nm, matching = nm[within], matching[within]
    products = power(view.illuminant, nm)[:, np.newaxis] * matching
    made: Array = interpolation(full, nm).T @ products
    made *= 100.0 / products[:, 1].sum()
    return made


def _folded(table: Array, full: Array, measured: Array) -> Array:
    """Return the weights with those outside the measured range added to its ends (ASTM E308)."""
    first = int(np.searchsorted(full, measured[0]))
    last = int(np.searchsorted(full, measured[-1]))
    folded = table[first : last + 1].copy()
    folded[0] += table[:first].sum(axis=0)
    folded[-1] += table[last + 1 :].sum(axis=0)
    return folded


def _quantised(table: Array) -> Array:
    """Return the weights on the quantum, with the Y column summing to exactly 100."""
    rounded = np.round(table / _QUANTUM) * _QUANTUM
    rounded[np.argmax(rounded[:, 1]), 1] += 100.0 - rounded[:, 1].sum()
    result: Array = rounded
    return result
