"""The one forward model everything in this room is fitted to and predicted with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.film.clear import clear_layer, optics_of
from sprayout_core.film.hazy import hazy_layer

__all__ = ["Slopes", "film_reading", "perceived", "slopes"]

Array = NDArray[np.float64]

_DARK = 1e-3
_STEP = 1e-5


def film_reading(
    ground: Array, absorbed: Array, scattered: Array | None, geometry: str, n: float, trap: Array
) -> Array:
    """Return the reading of a layer over a ground: clear where nothing scatters, hazy elsewhere.

    ground, absorbed, scattered   (..., n); scattered None says that no component scatters
    trap                          broadcasts to (..., 1) or (..., n)
    """
    if scattered is None:
        return clear_layer(ground, absorbed, geometry, n, trap)
    rows = np.any(scattered > 0, axis=-1)
    if rows.all():
        return hazy_layer(ground, absorbed, scattered, geometry, n, trap)
    if not rows.any():
        return clear_layer(ground, absorbed, geometry, n, trap)
    shape = np.broadcast_shapes(ground.shape, absorbed.shape)
    ground, absorbed, scattered = (np.broadcast_to(each, shape) for each in (ground, absorbed, scattered))
    trap = np.broadcast_to(trap, shape)
    rows = np.broadcast_to(rows, shape[:-1])
    result = np.empty(shape)
    result[rows] = hazy_layer(ground[rows], absorbed[rows], scattered[rows], geometry, n, trap[rows])
    result[~rows] = clear_layer(ground[~rows], absorbed[~rows], geometry, n, trap[~rows])
    return result


def perceived(reading: Array, geometry: str, n: float) -> Array:
    """Return the cube root of a reading without its surface's own reflection: about even steps to the eye."""
    shine = optics_of(geometry, n).shine
    return np.cbrt(np.maximum(reading - shine, 0.0) + _DARK)


@dataclass(frozen=True, slots=True, eq=False)
class Slopes:
    """Perceived value and its slopes by absorption, scattering and trapping, each (..., n)."""

    value: Array
    absorbed: Array
    scattered: Array
    trap: Array


def slopes(ground: Array, absorbed: Array, scattered: Array | None, geometry: str, n: float, trap: Array) -> Slopes:
    """Return the perceived value of a layer and its slopes, by one-sided differences."""

    def seen(a: Array, s: Array | None, t: Array) -> Array:
        return perceived(film_reading(ground, a, s, geometry, n, t), geometry, n)

    value = seen(absorbed, scattered, trap)
    by_absorbed = (seen(absorbed + _STEP, scattered, trap) - value) / _STEP
    by_trap = (seen(absorbed, scattered, trap + _STEP) - value) / _STEP
    if scattered is None:
        return Slopes(value, by_absorbed, np.zeros_like(value), by_trap)
    # A row without scatterers stays on the clear model, and its slope by scattering is never used.
    step = np.where(np.any(scattered > 0, axis=-1, keepdims=True), _STEP, 0.0)
    by_scattered = (seen(absorbed, scattered + step, trap) - value) / _STEP
    return Slopes(value, by_absorbed, by_scattered, by_trap)
