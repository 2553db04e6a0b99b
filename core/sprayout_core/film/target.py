"""The colour to reach: from a reading, a typed colour or a card, or a panel but lighter, not redder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.given import numbers, refuse_percent
from sprayout_core.film.panel import spectrum
from sprayout_core.film.prediction import D65_10
from sprayout_core.light import View

__all__ = ["Grade", "Target", "target_from_lab", "target_from_readings", "wished"]

Array = NDArray[np.float64]


class Grade(StrEnum):
    """What a target rests on; each with the uncertainty it brings, dE00."""

    SPECTRUM = "spectrum"
    COLOUR = "typed or measured L*a*b*"
    CARD = "card or scan"

    @property
    def uncertainty(self) -> float:
        """Return the standard uncertainty such a target brings; a scanned card's is an order of size only."""
        return {Grade.SPECTRUM: 0.1, Grade.COLOUR: 0.3, Grade.CARD: 2.0}[self]


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """L*a*b* to reach in each geometry, in one view, with its grade."""

    colours: Mapping[str, Array]
    grade: Grade
    view: View = D65_10


def target_from_readings(
    readings: Mapping[str, ArrayLike], wavelengths: ArrayLike, view: View = D65_10, grade: Grade = Grade.SPECTRUM
) -> Target:
    """Return a target from readings per geometry, reflectance factors, (n,) each."""
    grid = numbers(wavelengths, "wavelengths")
    eye = Eye.of(grid, view)
    if not readings:
        raise SprayoutError("a target needs a reading in at least one geometry", place="target")
    colours = {}
    for name, values in readings.items():
        geometry, reading = geometry_of(name), spectrum(values, "target")
        if reading.shape != grid.shape:
            raise SprayoutError(f"{reading.size} bands on {grid.size} wavelengths", "Use one grid.", place="target")
        refuse_percent(reading, geometry, "target")
        colours[geometry.name] = eye.lab(reading)
    return Target(colours, grade, view)


def target_from_lab(colours: Mapping[str, ArrayLike], view: View = D65_10, grade: Grade = Grade.COLOUR) -> Target:
    """Return a target from L*a*b* per geometry; the view must be the one they were given in."""
    table = {geometry_of(g).name: numbers(colour, "target") for g, colour in colours.items()}
    if not table or any(each.shape != (3,) or not np.all(np.isfinite(each)) for each in table.values()):
        raise SprayoutError("a target needs L*, a*, b* in at least one geometry", place="target")
    return Target(table, grade, view)


def wished(
    target: Target, lighter: float = 0.0, redder: float = 0.0, yellower: float = 0.0, cleaner: float = 0.0
) -> Target:
    """Return a target moved as asked: lightness, a*, b*, then chroma at the same hue, in CIELAB units.

    "But lighter, not redder" is `wished(target, lighter=3)`: what is not named stays.
    """
    if not np.all(np.isfinite([lighter, redder, yellower, cleaner])):
        raise SprayoutError("a wish is not a number", "Say how many CIELAB units.", place="wish")

    def moved(colour: Array) -> Array:
        result = colour + np.array([lighter, redder, yellower])
        chroma = float(np.hypot(result[1], result[2]))
        scale = max(chroma + cleaner, 0.0) / chroma if chroma > 0 else 1.0
        return np.asarray(result * np.array([1.0, scale, scale]), float)

    return replace(target, colours={geometry: moved(colour) for geometry, colour in target.colours.items()})
