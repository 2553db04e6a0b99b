"""A tolerance as a table of limits per geometry, and the verdict: in, near or out, where and which way."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from types import MappingProxyType

from sprayout_core.difference.ciede2000 import ciede2000
from sprayout_core.difference.components import components
from sprayout_core.difference.formulas import Formula, formula
from sprayout_core.difference.weights import DifferenceError, Weights
from sprayout_core.difference.words import Words, words
from sprayout_core.light import Colour, comparable

__all__ = ["Limit", "Place", "Scheme", "State", "Tolerance", "ToleranceError", "Verdict", "judge"]


class ToleranceError(DifferenceError):
    """A tolerance that makes no sense, or a panel it cannot be applied to."""


class State(StrEnum):
    """How a trial stands to a tolerance."""

    IN = "in"
    NEAR = "near"
    OUT = "out"


@dataclass(frozen=True, slots=True)
class Limit:
    """The largest steps allowed at one geometry; a limit that is not given is not judged.

    difference               in the tolerance's formula
    lightness, chroma, hue   of |dL*|, |dC*|, |dH*|, CIELAB units
    weights                  kL, kC, kH here, for ciede2000 only
    raises                   ToleranceError
    """

    difference: float | None = None
    lightness: float | None = None
    chroma: float | None = None
    hue: float | None = None
    weights: Weights | None = None

    def __post_init__(self) -> None:
        given = [value for value in self.by_name().values() if value is not None]
        if not given:
            raise ToleranceError("no limit is given", "Give at least the difference allowed.", place="limit")
        if not all(math.isfinite(value) and value > 0 for value in given):
            raise ToleranceError("a limit is not a positive number", "Correct the limit.", place="limit")

    def by_name(self) -> dict[str, float | None]:
        """Return the four limits by what they limit."""
        return {
            "difference": self.difference,
            "lightness": self.lightness,
            "chroma": self.chroma,
            "hue": self.hue,
        }


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Limits per geometry, the formula they are in, and how far beyond a limit is still near.

    limits   by geometry, such as "45:0" or "45as15"
    formula  a name of FORMULAS or of a plugin's formula
    near     up to this many times a limit is near, not out; 1 or more
    raises   ToleranceError
    """

    limits: Mapping[str, Limit]
    formula: str = "ciede2000"
    near: float = 1.25

    def __post_init__(self) -> None:
        if not self.limits:
            raise ToleranceError("no geometry has a limit", "Give a limit for each angle.", place="limits")
        if not (math.isfinite(self.near) and self.near >= 1.0):
            raise ToleranceError(f"near is {self.near!r}", "Give a number of 1 or more.", place="near")
        for geometry, limit in self.limits.items():
            if limit.weights is not None and self.formula != "ciede2000":
                raise ToleranceError(
                    f"weights are given for {self.formula}",
                    "Only ciede2000 takes kL, kC, kH here.",
                    place=geometry,
                )


@dataclass(frozen=True, slots=True)
class Place:
    """The verdict at one geometry.

    ratio       the largest of value over limit, 1 at the limit
    exceeds     which limit that is: difference, lightness, chroma or hue
    value       its value, CIELAB units or those of the formula
    limit       its limit
    difference  the difference in the tolerance's formula
    direction   which way the trial lies from the standard
    """

    geometry: str
    state: State
    ratio: float
    exceeds: str
    value: float
    limit: float
    difference: float
    direction: Words

    def __str__(self) -> str:
        measured = f"{self.exceeds} {self.value:.2f}, limit {self.limit:g}"
        return f"{self.state} at {self.geometry}: {self.direction} ({measured})"


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict over all geometries: the state of the worst, never of the mean alone.

    places  one for each geometry of the tolerance, in its order
    mean    the mean of the differences over those geometries
    worst   the place with the largest ratio
    """

    places: tuple[Place, ...]
    mean: float
    worst: Place
    formula: str

    @property
    def state(self) -> State:
        """In, near or out: how the worst place stands."""
        return self.worst.state

    def __str__(self) -> str:
        return f"{self.worst}; mean difference {self.mean:.2f} ({self.formula})"


Scheme = Callable[[Mapping[str, Colour], Mapping[str, Colour]], Verdict]
"""A whole tolerance scheme of a plugin: standard and trial by geometry, to a verdict."""


def judge(
    standard: Mapping[str, Colour],
    trial: Mapping[str, Colour],
    tolerance: Tolerance,
    extra: Mapping[str, Formula] = MappingProxyType({}),
) -> Verdict:
    """Return how a trial stands to its standard at every geometry of a tolerance.

    standard  one colour (3,) for each geometry of the tolerance; others are not judged
    trial     the same, seen in the same view at the same stage
    extra     formulas that plugins bring, by name
    raises    ToleranceError, UnknownFormulaError, ViewMismatchError
    """
    places = []
    for geometry, limit in tolerance.limits.items():
        for whose, colours in (("standard", standard), ("trial", trial)):
            if geometry not in colours:
                raise ToleranceError(
                    f"the {whose} was not measured at {geometry}",
                    "Measure it there, or take the angle out of the tolerance.",
                    place=geometry,
                )
        comparable(standard[geometry], trial[geometry])
        chosen = partial(ciede2000, weights=limit.weights) if limit.weights else formula(tolerance.formula, extra)
        places.append(_place(geometry, standard[geometry], trial[geometry], limit, chosen, tolerance.near))
    mean = sum(place.difference for place in places) / len(places)
    return Verdict(tuple(places), mean, max(places, key=lambda place: place.ratio), tolerance.formula)


def _place(geometry: str, standard: Colour, trial: Colour, limit: Limit, chosen: Formula, near: float) -> Place:
    step = components(standard.lab, trial.lab)
    values = {
        "difference": float(chosen(standard.lab, trial.lab)),
        "lightness": abs(float(step.lightness)),
        "chroma": abs(float(step.chroma)),
        "hue": abs(float(step.hue)),
    }
    limits = {name: value for name, value in limit.by_name().items() if value is not None}
    exceeds = max(limits, key=lambda name: values[name] / limits[name])
    ratio = values[exceeds] / limits[exceeds]
    return Place(
        geometry,
        _state(ratio, near),
        ratio,
        exceeds,
        values[exceeds],
        limits[exceeds],
        values["difference"],
        words(standard.lab, trial.lab),
    )


def _state(ratio: float, near: float) -> State:
    if ratio <= 1.0:
        return State.IN
    return State.NEAR if ratio <= near else State.OUT
