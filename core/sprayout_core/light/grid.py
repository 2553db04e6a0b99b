"""What a set of wavelengths is: a standard grid, or one that must first be reduced to one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.light.errors import GridError, ShapeError
from sprayout_core.light.lagrange import interpolation

__all__ = ["Grid", "Reduced", "reduced", "understood"]

Array = npt.NDArray[np.float64]

FIRST, LAST = 360, 780
"""The range of the weights, nm (ASTM E308)."""

STEPS = (5, 10, 20)
"""The steps that weights are made for, nm."""

_MUST_START, _MUST_END = 420.0, 680.0
_EXACT = 1e-6


@dataclass(frozen=True, eq=False, slots=True)
class Grid:
    """A standard grid and the way the given wavelengths lead to it.

    wavelengths  the standard grid, nm, whole numbers, step 5, 10 or 20   (m,)
    matrix       takes reflectances on the given wavelengths to the grid  (m, n)
    said         in words, what was done
    """

    wavelengths: Array
    matrix: Array
    said: str

    @property
    def step(self) -> int:
        """The step of the standard grid, nm."""
        return round(float(self.wavelengths[1] - self.wavelengths[0]))


@dataclass(frozen=True, eq=False, slots=True)
class Reduced:
    """A spectrum on a standard grid: reflectance (..., m), wavelengths nm (m,), and what was done."""

    reflectance: Array
    wavelengths: Array
    said: str


def understood(wavelengths: npt.ArrayLike) -> Grid:
    """Return the standard grid that these wavelengths are, or are reduced to.

    wavelengths  nm, increasing, reaching from 420 or less to 680 or more   (n,)
    raises       GridError, ShapeError

    A step of 5, 10 or 20 nm at whole wavelengths is kept as it is. Everything else, 1 nm data included, is
    interpolated (four-point Lagrange, three at the ends) to the nearest standard step that is not finer
    than the widest gap in the data. Wavelengths outside 360 to 780 nm are left out, as the weights end there.
    """
    nm = np.asarray(wavelengths, dtype=float)
    _check(nm)
    inside = np.flatnonzero((nm >= FIRST - _EXACT) & (nm <= LAST + _EXACT))
    kept = nm[inside]
    step = _widest_step(kept)
    left_out = f", {nm.size - kept.size} outside {FIRST} to {LAST} nm left out" if kept.size < nm.size else ""
    choose = np.zeros((kept.size, nm.size))
    choose[np.arange(kept.size), inside] = 1.0
    if _is_standard(kept):
        whole = np.round(kept)
        return Grid(whole, choose, f"{whole[0]:.0f} to {whole[-1]:.0f} nm every {step} nm{left_out}")
    target = _multiples(kept, step)
    said = (
        f"{kept.size} wavelengths from {kept[0]:g} to {kept[-1]:g} nm, not on a standard grid, "
        f"reduced to {target[0]:.0f} to {target[-1]:.0f} nm every {step} nm by interpolation{left_out}"
    )
    return Grid(target, interpolation(kept, target) @ choose, said)


def reduced(reflectance: npt.ArrayLike, wavelengths: npt.ArrayLike) -> Reduced:
    """Return a spectrum on the standard grid it belongs to, and say what was done to it.

    reflectance  any unit                       (..., n)
    wavelengths  nm, increasing                 (n,)
    raises       GridError, ShapeError

    A record keeps irregular data as they were given, beside what this returns.
    """
    grid = understood(wavelengths)
    values = np.asarray(reflectance, dtype=float)
    if values.ndim == 0 or values.shape[-1] != grid.matrix.shape[1]:
        raise mismatch(values, grid.matrix.shape[1])
    return Reduced(values @ grid.matrix.T, grid.wavelengths, grid.said)


def mismatch(values: Array, wanted: int) -> ShapeError:
    """Return the refusal of an array whose last axis does not fit the wavelengths."""
    last = values.shape[-1] if values.ndim else 0
    return ShapeError(
        f"{last} reflectances for {wanted} wavelengths",
        "Give one reflectance for each wavelength, on the last axis.",
        place="reflectance",
    )


def _check(nm: Array) -> None:
    if nm.ndim != 1 or nm.size < 4:
        raise GridError("fewer than four wavelengths", "Give the wavelengths as one row, nm.", place="wavelengths")
    if not np.isfinite(nm).all() or not (np.diff(nm) > 0).all():
        raise GridError("the wavelengths do not increase", "Sort the spectrum by wavelength.", place="wavelengths")
    if nm[0] > _MUST_START or nm[-1] < _MUST_END:
        raise GridError(
            f"the spectrum reaches from {nm[0]:g} to {nm[-1]:g} nm",
            f"Wavelengths are in nm and must reach from {_MUST_START:g} or less to {_MUST_END:g} or more.",
            place="wavelengths",
        )


def _widest_step(kept: Array) -> int:
    gap = float(np.diff(kept).max())
    for step in STEPS:
        if gap <= step + _EXACT:
            return step
    raise GridError(
        f"the widest gap in the spectrum is {gap:g} nm",
        f"Colour needs a value every {STEPS[-1]} nm or closer.",
        place="wavelengths",
    )


def _is_standard(kept: Array) -> bool:
    steps = np.diff(kept)
    on_whole = bool((np.abs(kept - np.round(kept)) < _EXACT).all())
    even = bool((np.abs(steps - steps[0]) < _EXACT).all())
    return on_whole and even and round(float(steps[0])) in STEPS


def _multiples(kept: Array, step: int) -> Array:
    first = np.ceil((kept[0] - _EXACT) / step) * step
    last = np.floor((kept[-1] + _EXACT) / step) * step
    return np.arange(first, last + step / 2, step)
