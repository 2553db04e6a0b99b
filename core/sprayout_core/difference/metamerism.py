"""Metamerism: how much two panels part when the light changes (ISO 18314-4)."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.cie76 import cie76
from sprayout_core.difference.weights import DifferenceError
from sprayout_core.light import View, lab, tristimulus, white
from sprayout_core.light.cielab import triples

__all__ = [
    "OUTSIDE_SCOPE",
    "CorrectionError",
    "Quartet",
    "additive",
    "metamerism",
    "metamerism_multiplicative",
    "multiplicative",
]

Array = npt.NDArray[np.float64]
Formula = Callable[[npt.ArrayLike, npt.ArrayLike], Array]

OUTSIDE_SCOPE = "per-angle illuminant change, outside the standard's scope"
"""What stands beside the value for an effect finish: ISO 18314-4 is for solid colours."""


class CorrectionError(DifferenceError):
    """A multiplicative correction that would divide by a coordinate near zero."""


class Quartet(NamedTuple):
    """Standard and trial in the reference light and in the test light, each (..., 3)."""

    standard_reference: npt.ArrayLike
    standard_test: npt.ArrayLike
    trial_reference: npt.ArrayLike
    trial_test: npt.ArrayLike


def metamerism(
    standard_reflectance: npt.ArrayLike,
    trial_reflectance: npt.ArrayLike,
    wavelengths: npt.ArrayLike,
    reference: View,
    test: View,
    formula: Formula = cie76,
) -> Array:
    """Return the metamerism index of pairs of spectra, with the additive correction in CIELAB.

    standard_reflectance  reflectance factor                                     (..., n)
    trial_reflectance     reflectance factor                                     (..., n)
    wavelengths           nm                                                     (n,)
    reference, test       the light the pair should match in, and the other one
    formula               a colour difference; CIE 1976 unless given
    returns               the difference that the change of light makes          (...)
    raises                GridError, ShapeError, NotFiniteError

    ISO 18314-4:2024, additive: what is left of the pair's difference in the reference light is taken off
    first. For solid colours; for an effect finish compute it angle by angle and say `OUTSIDE_SCOPE`.
    """
    whites = white(reference, wavelengths), white(test, wavelengths)
    spectra = standard_reflectance, trial_reflectance
    seen = [
        lab(tristimulus(spectrum, wavelengths, view), reference_white)
        for spectrum in spectra
        for view, reference_white in zip((reference, test), whites, strict=True)
    ]
    return additive(Quartet(*seen), formula)


def metamerism_multiplicative(
    standard_reflectance: npt.ArrayLike,
    trial_reflectance: npt.ArrayLike,
    wavelengths: npt.ArrayLike,
    reference: View,
    test: View,
    formula: Formula = cie76,
) -> Array:
    """Return the metamerism index with the multiplicative correction in X, Y, Z; else as `metamerism`.

    ISO 18314-4:2024. Tristimulus values are used because a CIELAB coordinate may be near zero.
    raises  GridError, ShapeError, NotFiniteError, CorrectionError
    """
    seen = Quartet(
        *(
            tristimulus(spectrum, wavelengths, view)
            for spectrum in (standard_reflectance, trial_reflectance)
            for view in (reference, test)
        )
    )
    reference_white = white(test, wavelengths)
    corrected = _times(seen)
    return formula(lab(seen.standard_test, reference_white), lab(corrected, reference_white))


def additive(seen: Quartet, formula: Formula = cie76) -> Array:
    """Return the index with the additive correction from CIELAB coordinates, (..., 3) each -> (...).

    ISO 18314-4:2024: trial in the test light, less its residual in the reference light.
    """
    standard_r, standard_t, trial_r, trial_t = (
        triples(values, place) for values, place in zip(seen, Quartet._fields, strict=True)
    )
    return formula(standard_t, trial_t - (trial_r - standard_r))


def multiplicative(seen: Quartet, formula: Formula = cie76) -> Array:
    """Return the index with the multiplicative correction from CIELAB coordinates, (..., 3) each -> (...).

    ISO 18314-4:2024. raises CorrectionError where a coordinate of the trial in the reference light is near
    zero: use `metamerism_multiplicative`, which works on X, Y, Z.
    """
    return formula(seen.standard_test, _times(seen))


def _times(seen: Quartet) -> Array:
    standard_r, trial_r, trial_t = (
        triples(values, place)
        for values, place in (
            (seen.standard_reference, "standard_reference"),
            (seen.trial_reference, "trial_reference"),
            (seen.trial_test, "trial_test"),
        )
    )
    if (np.abs(trial_r) < 1e-3).any():
        raise CorrectionError(
            "a coordinate of the trial in the reference light is near zero",
            "Use the additive correction, or tristimulus values.",
            place="trial_reference",
        )
    result: Array = trial_t * (standard_r / trial_r)
    return result
