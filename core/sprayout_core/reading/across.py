"""A multi-angle reading as a curve, and two of them side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.difference import (
    Components,
    Formula,
    Place,
    State,
    Verdict,
    Words,
    cie76,
    ciede2000,
    components,
    words,
)
from sprayout_core.light import Colour, comparable, lch
from sprayout_core.reading.angles import Angle, angle
from sprayout_core.reading.errors import AngleError

__all__ = ["AcrossAngles", "AtAngle", "Travel", "across_angles", "tell", "travel"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Travel:
    """How a panel's colour moves from angle to angle, ordered by illumination, then away from the gloss.

    angles  n of them
    lab     L*, a*, b*                                      (n, 3)
    lch     L*, C*, h in degrees                            (n, 3)
    steps   CIE 1976 between neighbours                     (n - 1,)
    """

    angles: tuple[Angle, ...]
    lab: Array
    lch: Array
    steps: Array

    @property
    def length(self) -> float:
        """The whole way through the colours, CIELAB units."""
        return float(self.steps.sum())


def travel(colours: Mapping[Angle, Colour]) -> Travel:
    """Return the travel curve of a reading, one colour (3,) for each angle, at least two.

    raises  AngleError, ViewMismatchError
    """
    angles = tuple(sorted(colours))
    if len(angles) < 2:
        raise AngleError("fewer than two angles", "A curve needs at least two.", place="travel")
    first = colours[angles[0]]
    for other in angles[1:]:
        comparable(_anywhere(first), _anywhere(colours[other]))
    lab = np.stack([colours[place].lab for place in angles])
    return Travel(angles, lab, lch(lab), cie76(lab[:-1], lab[1:]))


@dataclass(frozen=True, eq=False, slots=True)
class AtAngle:
    """A pair at one angle: the difference, what it is made of, and which way the trial lies."""

    angle: Angle
    difference: float
    components: Components
    direction: Words

    def __str__(self) -> str:
        return f"{self.angle.spoken}: {self.direction} ({self.difference:.2f})"


@dataclass(frozen=True, eq=False, slots=True)
class AcrossAngles:
    """A pair at every angle both were measured at.

    unpaired  angles that only one of the two has
    """

    angles: tuple[AtAngle, ...]
    unpaired: tuple[Angle, ...]

    @property
    def worst(self) -> AtAngle:
        """The angle with the largest difference."""
        return max(self.angles, key=lambda place: place.difference)

    @property
    def mean(self) -> float:
        """The mean difference over the angles; never to be told without the worst."""
        return sum(place.difference for place in self.angles) / len(self.angles)

    def __str__(self) -> str:
        return f"worst {self.worst}; mean {self.mean:.2f} over {len(self.angles)} angles"


def across_angles(
    standard: Mapping[Angle, Colour], trial: Mapping[Angle, Colour], formula: Formula = ciede2000
) -> AcrossAngles:
    """Return a pair's differences angle by angle, one colour (3,) for each angle.

    raises  AngleError where no angle is shared; ViewMismatchError where views or stages differ
    """
    shared = sorted(set(standard) & set(trial))
    if not shared:
        raise AngleError(
            f"standard at {_listed(standard)}, trial at {_listed(trial)}",
            "Measure both at one set of angles.",
            place="angles",
        )
    found = []
    for place in shared:
        ours, theirs = standard[place], trial[place]
        comparable(ours, theirs)
        found.append(
            AtAngle(
                place,
                float(formula(ours.lab, theirs.lab)),
                components(ours.lab, theirs.lab),
                words(ours.lab, theirs.lab),
            )
        )
    return AcrossAngles(tuple(found), tuple(sorted(set(standard) ^ set(trial))))


def tell(verdict: Verdict) -> str:
    """Return a verdict as a painter reads it: the worst place, then the others that are not in."""
    others = [place for place in verdict.places if place is not verdict.worst and place.state is not State.IN]
    others.sort(key=lambda place: place.ratio, reverse=True)
    return "; ".join(_told(place) for place in (verdict.worst, *others))


def _told(place: Place) -> str:
    return (
        f"{place.state} {_spoken(place.geometry)}: {place.direction} "
        f"({place.exceeds} {place.value:.2f}, limit {place.limit:g})"
    )


def _spoken(geometry: str) -> str:
    """Return the place in words where the geometry is an aspecular angle, else as it is written."""
    try:
        return angle(geometry).spoken
    except AngleError:
        return f"at {geometry}"


def _anywhere(seen: Colour) -> Colour:
    """Return the colour without its geometry, which differs along a curve by its nature."""
    conditions = type(seen.conditions)(stage=seen.conditions.stage)
    return Colour(seen.lab, seen.view, seen.white, conditions)


def _listed(colours: Mapping[Angle, Colour]) -> str:
    return ", ".join(str(place) for place in sorted(colours)) or "no angle"
