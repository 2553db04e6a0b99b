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
    matrix = np.zeros((targets.size, nodes.size))
    for row, target in enumerate(targets):
        chosen = _around(nodes, float(target))
        matrix[row, chosen] = _coefficients(nodes[chosen], float(target))
    return matrix


def _around(nodes: Array, target: float) -> npt.NDArray[np.intp]:
    """Return the places of the nodes that a target is interpolated from."""
    last = nodes.size - 1
    if target <= nodes[0]:
        return np.array([0])
    if target >= nodes[-1]:
        return np.array([last])
    before = int(np.searchsorted(nodes, target, side="right")) - 1
    if before == 0:
        return np.arange(3)
    if before == last - 1:
        return np.arange(last - 2, last + 1)
    return np.arange(before - 1, before + 3)


def _coefficients(nodes: Array, target: float) -> Array:
    """Return the Lagrange coefficients of a few nodes for one target, (k,) -> (k,)."""
    result = np.ones(nodes.size)
    for place, node in enumerate(nodes):
        others = np.delete(nodes, place)
        result[place] = np.prod((target - others) / (node - others))
    return result
