"""What a change of light does: to one recipe, and to a pair that matched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.cie76 import cie76
from sprayout_core.difference.ciede2000 import ciede2000
from sprayout_core.difference.formulas import Formula
from sprayout_core.difference.weights import DifferenceError
from sprayout_core.difference.words import Words, words
from sprayout_core.light import VIEWS, View, adapted_lab, lab, tristimulus, white

__all__ = ["InLight", "LightTravel", "Match", "PairInLight", "match_in_lights", "through_lights"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class InLight:
    """A surface as it looks in one light, told in the coordinates of the home light.

    lab         L*, a*, b* after adaptation    (3,)
    difference  CIE 1976, from the home light
    direction   which way it went
    """

    name: str
    view: View
    lab: Array
    difference: float
    direction: Words

    def __str__(self) -> str:
        return f"in {self.name}: {self.direction} ({self.difference:.1f})"


@dataclass(frozen=True, eq=False, slots=True)
class LightTravel:
    """How a surface travels from its home light through others."""

    home: View
    lights: tuple[InLight, ...]

    @property
    def farthest(self) -> InLight:
        """The light that moves it most."""
        return max(self.lights, key=lambda light: light.difference)

    def __str__(self) -> str:
        return "; ".join(str(light) for light in self.lights)


def through_lights(
    reflectance: npt.ArrayLike,
    wavelengths: npt.ArrayLike,
    home: View | None = None,
    lights: Mapping[str, View] = VIEWS,
) -> LightTravel:
    """Return how one surface looks in other lights to an eye that has got used to each.

    reflectance  one spectrum                                             (n,)
    wavelengths  nm                                                       (n,)
    home         the light it is told in; D65 and 10 degrees unless given
    lights       by the name they are told under
    raises       GridError, ShapeError, NotFiniteError, DifferenceError

    Adaptation by CAT16 (CIE 248:2022); a prediction of looks, not a colour difference between two panels.
    """
    told_in = home or View()
    at_home = adapted_lab(_one(reflectance), wavelengths, told_in, told_in)
    found = []
    for name, view in lights.items():
        seen = adapted_lab(reflectance, wavelengths, view, told_in)
        found.append(InLight(name, view, seen, float(cie76(at_home, seen)), words(at_home, seen)))
    return LightTravel(told_in, tuple(found))


@dataclass(frozen=True, slots=True)
class PairInLight:
    """A pair in one light: how far apart, and which way the trial lies."""

    name: str
    difference: float
    matches: bool
    direction: Words


@dataclass(frozen=True, slots=True)
class Match:
    """In which lights a pair matches."""

    pairs: tuple[PairInLight, ...]
    limit: float

    def __str__(self) -> str:
        same = [pair.name for pair in self.pairs if pair.matches]
        apart = [f"{pair.name} ({pair.direction}, {pair.difference:.1f})" for pair in self.pairs if not pair.matches]
        if not apart:
            return f"matches in {_listed(same)}"
        if not same:
            return f"does not match in {_listed(apart)}"
        return f"matches in {_listed(same)}, not in {_listed(apart)}"


def match_in_lights(
    standard_reflectance: npt.ArrayLike,
    trial_reflectance: npt.ArrayLike,
    wavelengths: npt.ArrayLike,
    limit: float = 1.0,
    lights: Mapping[str, View] = VIEWS,
    formula: Formula = ciede2000,
) -> Match:
    """Return in which lights a trial matches its standard within a limit, and where not.

    standard_reflectance, trial_reflectance   one spectrum each            (n,)
    wavelengths                               nm                           (n,)
    limit                                     difference in the formula
    raises                                    GridError, ShapeError, NotFiniteError, DifferenceError
    """
    first, second = _one(standard_reflectance), _one(trial_reflectance)
    found = []
    for name, view in lights.items():
        reference = white(view, wavelengths)
        standard, trial = (lab(tristimulus(values, wavelengths, view), reference) for values in (first, second))
        apart = float(formula(standard, trial))
        found.append(PairInLight(name, apart, apart <= limit, words(standard, trial)))
    return Match(tuple(found), limit)


def _one(reflectance: npt.ArrayLike) -> Array:
    values = np.asarray(reflectance, dtype=float)
    if values.ndim != 1:
        raise DifferenceError("more than one spectrum", "Give one at a time.", place="reflectance")
    return values


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
