"""An effect finish in two lights, angle by angle, which no standard of metamerism covers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy.typing as npt

from sprayout_core.difference import OUTSIDE_SCOPE, Formula, cie76, metamerism
from sprayout_core.light import View
from sprayout_core.reading.angles import Angle
from sprayout_core.reading.errors import AngleError

__all__ = ["LightChange", "light_change"]


@dataclass(frozen=True, slots=True)
class LightChange:
    """What a change of light does to a pair at each angle, with the label that always stands beside it."""

    by_angle: Mapping[Angle, float]
    label: str = OUTSIDE_SCOPE

    @property
    def worst(self) -> Angle:
        """The angle where the pair parts most."""
        return max(self.by_angle, key=lambda place: self.by_angle[place])

    def __str__(self) -> str:
        return f"parts by {self.by_angle[self.worst]:.2f} {self.worst.spoken} ({self.label})"


def light_change(
    standard: Mapping[Angle, npt.ArrayLike],
    trial: Mapping[Angle, npt.ArrayLike],
    wavelengths: npt.ArrayLike,
    lights: tuple[View, View],
    formula: Formula = cie76,
) -> LightChange:
    """Return how much a pair of effect finishes parts when the light changes, at each angle both have.

    standard, trial  one spectrum (n,) for each angle
    wavelengths      nm (n,)
    lights           the light the pair should match in, and the other one
    raises           AngleError where no angle is shared; GridError, ShapeError, NotFiniteError

    The additive correction of ISO 18314-4 at each angle by itself. The standard is for solid colours, so
    the answer is labelled as outside its scope.
    """
    shared = sorted(set(standard) & set(trial))
    if not shared:
        raise AngleError("no angle is shared", "Measure both at one set of angles.", place="angles")
    return LightChange(
        {place: float(metamerism(standard[place], trial[place], wavelengths, *lights, formula)) for place in shared}
    )
