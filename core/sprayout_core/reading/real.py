"""Is a difference real, or is it no more than the instruments scatter?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.difference import cie76
from sprayout_core.light.cielab import triples
from sprayout_core.reading.errors import RepeatsError
from sprayout_core.reading.spread import Repeatability
from sprayout_core.reading.tails import chi_squared_3_tail, f_3_tail

__all__ = ["FALSE_ALARM", "Measured", "Real", "chance", "is_real"]

Array = npt.NDArray[np.float64]

FALSE_ALARM = 0.05
"""How often two equal panels are called different."""

_LEAST_FREEDOM = 4.0


@dataclass(frozen=True, eq=False, slots=True)
class Measured:
    """The mean of some readings of one panel and the repeatability of the instrument that made them.

    mean           L*, a*, b*                                (..., 3)
    repeatability  of a single reading
    count          how many readings the mean is made of
    raises         RepeatsError, ShapeError, NotFiniteError
    """

    mean: Array
    repeatability: Repeatability
    count: int = 1

    def __post_init__(self) -> None:
        object.__setattr__(self, "mean", triples(self.mean, "mean"))
        if self.count < 1:
            raise RepeatsError("no reading", "A mean needs at least one.", place="count")
        if self.repeatability.freedom < _LEAST_FREEDOM:
            raise RepeatsError(
                f"a repeatability from {self.repeatability.freedom:g} degrees of freedom",
                "Measure one panel five times or more, or two panels three times each.",
                place="repeatability",
            )


@dataclass(frozen=True, slots=True)
class Real:
    """Whether a difference is real.

    real        true where equal panels would differ so much less often than one time in twenty
    chance      how often equal panels would differ as much
    difference  CIE 1976
    """

    real: bool
    chance: float
    difference: float

    def __str__(self) -> str:
        if self.real:
            return f"a real difference of {self.difference:.2f} (by chance {_percent(self.chance)})"
        return (
            f"not to be told apart: {self.difference:.2f} is within what the instruments scatter "
            f"(by chance {_percent(self.chance)})"
        )


def is_real(standard: Measured, trial: Measured) -> Real:
    """Return whether the difference of two panels exceeds what both instruments' repeatability explains.

    standard, trial  one mean each   (3,)
    raises           RepeatsError

    False alarms: 5 %. The two instruments are taken to agree; where two different ones are used, take off
    the bias that `agreement` found first, or the answer tells of the instruments and not of the panels.
    """
    found = float(chance(standard, trial))
    return Real(found < FALSE_ALARM, found, float(cie76(standard.mean, trial.mean)))


def chance(standard: Measured, trial: Measured) -> Array:
    """Return how often equal panels would differ at least as much, (...).

    Hotelling's T^2 on L*, a*, b* with each side's own covariance; degrees of freedom by Yao (1965), and
    those of the one repeatability where both sides rest on the same one. Chi-squared where it is known.
    raises  RepeatsError where the scatter has no extent in some direction
    """
    apart = trial.mean - standard.mean
    shares = [side.repeatability.covariance / side.count for side in (standard, trial)]
    pulled = _solved(shares[0] + shares[1], apart)
    squared = (apart * pulled).sum(axis=-1)
    freedom = _freedom(standard, trial, shares, pulled, squared)
    known = np.isinf(freedom)
    finite = np.where(known, 1e9, freedom)
    scaled = np.maximum(squared, 0.0)
    by_f = f_3_tail(scaled * (finite - 2.0) / (3.0 * finite), finite - 2.0)
    result: Array = np.where(known, chi_squared_3_tail(scaled), by_f)
    return result


def _solved(total: Array, apart: Array) -> Array:
    scale = np.trace(total, axis1=-2, axis2=-1)
    flat = np.linalg.eigvalsh(total)[..., 0] <= 1e-10 * scale
    if np.asarray(flat).any():
        raise RepeatsError(
            "the repeats do not vary in some direction of L*, a*, b*",
            "Take more repeats, lifting the instrument, and keep all its decimals.",
            place="repeatability",
        )
    return np.asarray(np.linalg.solve(total, apart[..., np.newaxis])[..., 0], dtype=float)


def _freedom(standard: Measured, trial: Measured, shares: list[Array], pulled: Array, squared: Array) -> Array:
    """Return the degrees of freedom of the combined covariance, (...)."""
    if standard.repeatability is trial.repeatability:
        return np.full(squared.shape, standard.repeatability.freedom)
    inverse: Array = np.zeros(squared.shape)
    safe: Array = np.where(squared > 0.0, squared, 1.0)
    for side, share in zip((standard, trial), shares, strict=True):
        part: Array = (pulled * (share @ pulled[..., np.newaxis])[..., 0]).sum(axis=-1) / safe
        inverse = inverse + np.square(part) / side.repeatability.freedom
    least = min(standard.repeatability.freedom, trial.repeatability.freedom)
    with np.errstate(divide="ignore"):
        result: Array = np.where(squared > 0.0, 1.0 / inverse, least)
    return result


def _percent(chance: float) -> str:
    return "less than 0.1 %" if chance < 0.001 else f"{100.0 * chance:.1f} %"
