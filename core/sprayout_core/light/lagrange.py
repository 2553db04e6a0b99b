"""Lagrange interpolation as a matrix, the way ASTM E2022 makes its weights."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

__all__ = ["interpolation"]

Array = npt.NDArray[np.float64]


def interpolation(nodes: Array, targets: Array) -> Array:
    """Return the matrix that takes values at the nodes to values at the targets.

    nodes    increasing, at least four                                  (n,)
    targets  anywhere                                                   (m,)
    returns  rows that each sum to one                                  (m, n)

    Four nodes around the target, two on each side; three in the first and the last interval; the end value
    held outside (ASTM E2022: cubic inside, quadratic at the ends).
    """
    last = nodes.size - 1
    before = np.clip(np.searchsorted(nodes, targets, side="right") - 1, 0, last - 1)
    within = (targets > nodes[0]) & (targets < nodes[-1])
    at_end = (before == 0) | (before == last - 1)
    matrix = np.zeros((targets.size, nodes.size))
    matrix[targets <= nodes[0], 0] = 1.0
    matrix[targets >= nodes[-1], last] = 1.0
    for rows, first, count in (
        (np.flatnonzero(within & at_end), np.where(before == 0, 0, last - 2), 3),
        (np.flatnonzero(within & ~at_end), before - 1, 4),
    ):
        chosen = first[rows, np.newaxis] + np.arange(count)
        matrix[rows[:, np.newaxis], chosen] = _coefficients(nodes[chosen], targets[rows])
    return matrix


def _coefficients(nodes: Array, targets: Array) -> Array:
    """Return the Lagrange coefficients of a few nodes for each target, (m, k) and (m,) -> (m, k)."""
    result = np.ones_like(nodes)
    for place in range(nodes.shape[1]):
        for other in range(nodes.shape[1]):
            if other != place:
                result[:, place] *= (targets - nodes[:, other]) / (nodes[:, place] - nodes[:, other])
    return result
