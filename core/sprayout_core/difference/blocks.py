"""Pairs of colours taken in blocks small enough to stay in the processor's cache."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from sprayout_core.light.cielab import three, triples
from sprayout_core.light.errors import NotFiniteError, ShapeError

__all__ = ["in_blocks", "pairs"]

Array = npt.NDArray[np.float64]

BLOCK = 8192
"""Pairs worked on at a time: about ten rows of this length fit a second-level cache."""


def pairs(standard: npt.ArrayLike, trial: npt.ArrayLike) -> tuple[Array, Array]:
    """Return standards and trials broadcast against each other, (..., 3) both.

    raises  ShapeError, NotFiniteError
    """
    return _broadcast(triples(standard, "standard"), triples(trial, "trial"))


def in_blocks(formula: Callable[[Array, Array], Array], standard: npt.ArrayLike, trial: npt.ArrayLike) -> Array:
    """Return a formula's value for every pair, (..., 3) and (..., 3) -> (...).

    formula  takes coordinates as rows, (3, k) and (3, k), and returns (k,)
    raises   ShapeError, NotFiniteError
    """
    first, second = _broadcast(three(standard, "standard"), three(trial, "trial"))
    shape = first.shape[:-1]
    rows, others = first.reshape(-1, 3), second.reshape(-1, 3)
    result = np.empty(rows.shape[0])
    with np.errstate(all="ignore"):
        for start in range(0, rows.shape[0], BLOCK):
            part = slice(start, start + BLOCK)
            result[part] = formula(np.ascontiguousarray(rows[part].T), np.ascontiguousarray(others[part].T))
    if not np.isfinite(result).all():
        # what is not finite comes through every formula, so the inputs are looked at only now
        pairs(standard, trial)
        raise NotFiniteError(
            "a pair has no difference that can be computed",
            "Its coordinates lie far outside any colour: look at the reading.",
            place="trial",
        )
    return result.reshape(shape)


def _broadcast(first: Array, second: Array) -> tuple[Array, Array]:
    try:
        shape = np.broadcast_shapes(first.shape, second.shape)
    except ValueError:
        raise ShapeError(
            f"standards of shape {first.shape} and trials of shape {second.shape} cannot be paired",
            "Give as many trials as standards, or one standard for all.",
            place="trial",
        ) from None
    return np.broadcast_to(first, shape), np.broadcast_to(second, shape)
