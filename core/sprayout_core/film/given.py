"""What a caller gives: numbers, shapes that go together, readings on the right scale; all else is refused by name."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.geometry import Geometry

__all__ = ["numbers", "one_number", "refuse_percent", "together"]

Array = NDArray[np.float64]


def numbers(values: ArrayLike, place: str) -> Array:
    """Return values as a float array. Raises SprayoutError for words, and for lists of unequal length."""
    try:
        return np.asarray(values, float)
    except (TypeError, ValueError):
        raise SprayoutError("these are not numbers in rows of equal length", "Give numbers.", place=place) from None


def one_number(value: ArrayLike, place: str) -> float:
    """Return a single number. Raises SprayoutError for an array."""
    array = numbers(value, place)
    if array.ndim:
        raise SprayoutError("one number is wanted here, not several", "Ask once for each.", place=place)
    return float(array)


def together(**arrays: Array) -> tuple[int, ...]:
    """Return the shape that arrays have together. Raises SprayoutError naming the shapes that do not fit."""
    try:
        return np.broadcast_shapes(*(each.shape for each in arrays.values()))
    except ValueError:
        told = ", ".join(f"{name} {each.shape}" for name, each in arrays.items())
        raise SprayoutError(
            f"these shapes do not go together: {told}", "Use one grid, wavelengths last.", place=next(iter(arrays))
        ) from None


def refuse_percent(readings: Array, geometry: Geometry, place: str) -> None:
    """Refuse readings that no surface can give in this geometry: percent taken for a factor, or a fault."""
    if readings.size and not readings.max() <= geometry.brightest:
        raise SprayoutError(
            f"a reading of {float(np.max(readings)):g} at {geometry.name} is no reflectance factor",
            "1 is the perfect diffuser. Are these percent? Then divide by 100.",
            place=place,
        )
