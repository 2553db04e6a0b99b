"""Repeats of one reading: their mean, how far they lie from it, and how they scatter together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.difference import Formula, cie76
from sprayout_core.light.cielab import triples
from sprayout_core.reading.errors import RepeatsError

__all__ = ["Repeatability", "Spread", "repeatability", "spread"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Spread:
    """What repeats say; a difference is never normal, so no "mean plus or minus" is made of it.

    mean        the mean colour                                                    (..., 3)
    mcdm        mean colour difference from the mean (ASTM E2214)                  (...)
    largest     the largest difference from the mean                               (...)
    covariance  of L*, a*, b*, divided by n - 1                                    (..., 3, 3)
    count       n
    """

    mean: Array
    mcdm: Array
    largest: Array
    covariance: Array
    count: int


def spread(labs: npt.ArrayLike, formula: Formula = cie76) -> Spread:
    """Return the mean and the scatter of repeats.

    labs     L*, a*, b* of n repeats, one view                          (..., n, 3)
    formula  a colour difference; CIE 1976 unless given
    raises   RepeatsError for fewer than two; ShapeError, NotFiniteError

    Lifted and put back, repeats tell how a reading comes out; left in place, only how the instrument does.
    """
    values = triples(labs, "labs")
    if values.ndim < 2 or values.shape[-2] < 2:
        raise RepeatsError("fewer than two repeats", "Measure the panel at least twice.", place="labs")
    mean = values.mean(axis=-2)
    apart = formula(mean[..., np.newaxis, :], values)
    centred = values - mean[..., np.newaxis, :]
    count = values.shape[-2]
    covariance = np.swapaxes(centred, -1, -2) @ centred / (count - 1)
    return Spread(mean, apart.mean(axis=-1), apart.max(axis=-1), covariance, count)


@dataclass(frozen=True, eq=False, slots=True)
class Repeatability:
    """How single readings of one instrument scatter on one kind of panel.

    covariance  of L*, a*, b* of a single reading                             (..., 3, 3)
    freedom     degrees of freedom it rests on; infinite where it is known
    """

    covariance: Array
    freedom: float


def repeatability(*repeats: Spread) -> Repeatability:
    """Return the repeatability pooled from the spreads of one or several panels of one kind.

    raises  RepeatsError where there is none
    """
    if not repeats:
        raise RepeatsError("no repeats", "Give the spread of at least one panel.", place="repeats")
    freedom = sum(one.count - 1 for one in repeats)
    pooled = sum((one.count - 1) * one.covariance for one in repeats) / freedom
    return Repeatability(np.asarray(pooled), float(freedom))
