"""How two instruments or shops agree on panels that both measured: bias and spread apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.difference import Formula, Words, cie76, ciede2000, offset_words
from sprayout_core.difference.blocks import pairs
from sprayout_core.reading.errors import RepeatsError
from sprayout_core.reading.real import FALSE_ALARM
from sprayout_core.reading.tails import f_3_tail

__all__ = ["Agreement", "agreement"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Agreement:
    """What the shared panels say about two instruments or shops.

    bias         mean of theirs less ours in L*, a*, b*: what an offset would remove       (3,)
    bias_size    its length, CIELAB units
    bias_chance  how often no bias at all would look like this; none below five panels
    spread       mean distance from the bias, CIELAB units: what no offset removes
    covariance   of the differences about the bias                                         (3, 3)
    mean         mean difference in the chosen formula, bias and spread together
    largest      the largest one, and its place among the panels
    worst        that place
    direction    which way theirs lies from ours, over all panels
    count        how many panels
    """

    bias: Array
    bias_size: float
    bias_chance: float | None
    spread: float
    covariance: Array
    mean: float
    largest: float
    worst: int
    direction: Words
    count: int

    def __str__(self) -> str:
        if self.bias_chance is None:
            sure = "too few panels to be sure of the bias"
        elif self.bias_chance < FALSE_ALARM:
            sure = "a real bias"
        else:
            sure = "no bias to be sure of"
        return (
            f"{self.count} shared panels: theirs {self.direction}, bias {self.bias_size:.2f} ({sure}), "
            f"spread {self.spread:.2f}, largest difference {self.largest:.2f} on panel {self.worst + 1}"
        )


def agreement(ours: npt.ArrayLike, theirs: npt.ArrayLike, formula: Formula = ciede2000) -> Agreement:
    """Return how two instruments or shops agree on panels that both measured.

    ours, theirs  L*, a*, b* of the same panels in the same order, one view    (n, 3)
    formula       a colour difference for the mean and the largest; CIEDE2000 unless given
    raises        RepeatsError for fewer than two panels; ShapeError, NotFiniteError

    Ideas of ASTM E2214: the systematic part and the scatter are told apart. The bias is tested with
    Hotelling's T^2 where five panels or more are shared.
    """
    first, second = pairs(ours, theirs)
    if first.ndim != 2 or first.shape[0] < 2:
        raise RepeatsError("fewer than two shared panels", "Measure at least two in both shops.", place="ours")
    apart = second - first
    count = apart.shape[0]
    bias = apart.mean(axis=0)
    centred = apart - bias
    covariance = centred.T @ centred / (count - 1)
    differences = formula(first, second)
    return Agreement(
        bias,
        float(np.linalg.norm(bias)),
        _chance(bias, covariance, count),
        float(cie76(bias, apart).mean()),
        covariance,
        float(differences.mean()),
        float(differences.max()),
        int(differences.argmax()),
        offset_words(*bias.tolist()),
        count,
    )


def _chance(bias: Array, covariance: Array, count: int) -> float | None:
    if count < 5:
        return None
    if not bias.any():
        return 1.0
    if np.linalg.eigvalsh(covariance)[0] <= 1e-10 * np.trace(covariance):
        return 0.0 if np.linalg.norm(bias) > 1e-6 and not covariance.any() else None
    squared = count * float(bias @ np.linalg.solve(covariance, bias))
    return float(f_3_tail(squared * (count - 3) / (3.0 * (count - 1)), count - 3))
