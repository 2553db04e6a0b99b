"""The steps of a step card, found one by one along their window."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

__all__ = ["StepBounds", "find_steps"]

Array = npt.NDArray[np.float64]

_SHORTEST = 0.35
_SEEN = 4.0
_LEAST = 0.01


@dataclass(frozen=True, slots=True)
class StepBounds:
    """Where the steps lie along the window.

    edges    from 0 to 1, one more than there are steps
    assumed  per inner edge: True where the two steps look the same, so that the edge stands where the frame
             puts it
    """

    edges: tuple[float, ...]
    assumed: tuple[bool, ...]


def find_steps(profile: npt.ArrayLike, count: int) -> StepBounds:
    """Return the edges between `count` steps in a profile along the window.

    profile  linear light along the window, equal spacing     (m, 3), m >= 6 * count
    count    steps that the frame says are there, the bare ground included

    The best way to cut the profile of logarithms into `count` flat pieces, by least squares over all cuts, no
    piece shorter than 0.35 of an equal share: masks are laid by hand.
    """
    logs = np.log(np.maximum(np.asarray(profile, dtype=float), 1e-4))
    length = len(logs)
    cuts = _best_cuts(logs, count, max(2, int(_SHORTEST * length / count)))
    bounds = [0, *cuts, length]
    pieces = [logs[a:b] for a, b in pairwise(bounds)]
    middles = np.stack([np.median(piece, axis=0) for piece in pieces])
    away = np.concatenate([piece - middle for piece, middle in zip(pieces, middles, strict=True)])
    noise = 1.4826 * np.median(np.abs(away), axis=0)
    edges, assumed = [0.0], []
    for place, cut in enumerate(cuts):
        apart = np.abs(middles[place + 1] - middles[place])
        # the medians of two pieces of k points each differ by chance by about 1.8 noise / sqrt(k)
        chance = noise * 1.8 / np.sqrt(min(len(pieces[place]), len(pieces[place + 1])))
        alike = bool((apart < np.maximum(_SEEN * chance, _LEAST)).all())
        edges.append((place + 1) / count if alike else cut / length)
        assumed.append(alike)
    edges.append(1.0)
    return StepBounds(tuple(np.maximum.accumulate(edges).tolist()), tuple(assumed))


def _best_cuts(logs: Array, count: int, shortest: int) -> list[int]:
    """Return the inner cuts with the least sum of squares, by dynamic programming."""
    length = len(logs)
    sums = np.concatenate([np.zeros((1, 3)), np.cumsum(logs, axis=0)])
    squares = np.concatenate([np.zeros((1, 3)), np.cumsum(logs * logs, axis=0)])
    at = np.arange(length + 1)
    size = np.maximum(at[np.newaxis, :] - at[:, np.newaxis], 1)
    inside = sums[np.newaxis] - sums[:, np.newaxis]
    cost = (squares[np.newaxis] - squares[:, np.newaxis] - inside**2 / size[..., np.newaxis]).sum(axis=-1)
    cost[at[np.newaxis, :] - at[:, np.newaxis] < shortest] = np.inf
    least = cost[0]
    back = []
    for _ in range(1, count):
        total = least[:, np.newaxis] + cost
        back.append(np.argmin(total, axis=0))
        least = np.min(total, axis=0)
    cuts, end = [], length
    for came_from in reversed(back):
        end = int(came_from[end])
        cuts.append(end)
    return cuts[::-1]
