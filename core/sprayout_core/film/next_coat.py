"""The next coat of one paint, from its ground and two coats alone: nothing else of it need be known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.given import refuse_percent
from sprayout_core.film.hazy import hazy_layer
from sprayout_core.film.model import perceived
from sprayout_core.film.panel import spectrum

__all__ = ["next_coat"]

Array = NDArray[np.float64]

_GEOMETRY = "45:0"
_N = 1.5
_MISFIT = 0.004  # of the model and the reading, in the perceived scale
_THICKNESS = 0.3  # how much thicker or thinner the second coat may be, relative
_SMOOTH_ABSORPTION, _SMOOTH_SCATTERING = 1.0, 1000.0  # weight of curvature of the logarithms over bands
_ROUNDS = 40


@dataclass(frozen=True, slots=True, eq=False)
class _Ladder:
    """Ground, two coats and what is held likely beforehand; unknowns are log K, log S, log thickness of coat 2."""

    ground: Array
    seen: Array
    likely: Array
    precision: Array

    def gaps(self, unknowns: Array) -> Array:
        """Return both coats' standardised gaps, (2n,)."""
        bands = self.ground.size
        K, S = np.exp(unknowns[:bands]), np.exp(unknowns[bands:-1])
        two = 1.0 + np.exp(unknowns[-1])
        made = np.stack([hazy_layer(self.ground, K * x, S * x, _GEOMETRY, _N) for x in (1.0, two)])
        return np.asarray((perceived(made, _GEOMETRY, _N) - self.seen).ravel() / _MISFIT, float)

    def cost(self, unknowns: Array) -> float:
        """Return the sum of squares with the prior."""
        gap, off = self.gaps(unknowns), unknowns - self.likely
        return float(gap @ gap + off @ self.precision @ off)

    def slopes(self, unknowns: Array, gap: Array) -> Array:
        """Return the slopes of the gaps; each band answers to its own K and S and to the thickness."""
        bands, step = self.ground.size, 1e-5
        result = np.zeros((gap.size, unknowns.size))
        band = np.arange(bands)
        for start in (0, bands):
            moved = unknowns.copy()
            moved[start : start + bands] += step
            change = (self.gaps(moved) - gap) / step
            result[band, start + band] = change[:bands]
            result[bands + band, start + band] = change[bands:]
        moved = unknowns.copy()
        moved[-1] += step
        result[:, -1] = (self.gaps(moved) - gap) / step
        return result


def next_coat(ground: ArrayLike, one: ArrayLike, two: ArrayLike) -> Array:
    """Return the reading to expect after a third coat.

    ground    reading of the ground                                    (n,), (31,) at 400 to 700 nm by 10
    one, two  readings after one and two coats of the same paint       (n,)
    returns   predicted reading after three                            (n,)

    The film model `learn` uses, fitted to this one ladder: K and S per band, smooth over wavelength in their
    logarithms, and the relative thickness of the second coat. The third coat is taken as thick as the mean of
    the two. Readings are taken as 45:0 or with the specular excluded; a specular-included one loses little.
    """
    base, first, second = (spectrum(each, name) for each, name in ((ground, "ground"), (one, "one"), (two, "two")))
    if not base.shape == first.shape == second.shape or base.size < 4:
        raise SprayoutError("ground and coats have different wavelengths", "Use one grid.", place="ladder")
    for each, name in ((base, "ground"), (first, "one"), (second, "two")):
        refuse_percent(each, geometry_of(_GEOMETRY), name)
    ladder = _laid_out(base, first, second)
    unknowns = min((_fitted(ladder, start) for start in _starts(base, first, second)), key=ladder.cost)
    bands = base.size
    film = 1.5 * (1.0 + np.exp(unknowns[-1]))
    K, S = np.exp(unknowns[:bands]) * film, np.exp(unknowns[bands:-1]) * film
    return hazy_layer(ladder.ground, K, S, _GEOMETRY, _N)


def _laid_out(base: Array, first: Array, second: Array) -> _Ladder:
    bands = base.size
    curvature = np.diff(np.eye(bands), 2, axis=0)
    square = curvature.T @ curvature
    precision = np.zeros((2 * bands + 1, 2 * bands + 1))
    precision[:bands, :bands] = _SMOOTH_ABSORPTION * square + 1e-3 * np.eye(bands)
    precision[bands:-1, bands:-1] = _SMOOTH_SCATTERING * square + 0.08 / bands * np.eye(bands)
    precision[-1, -1] = 1.0 / _THICKNESS**2
    likely = np.concatenate([np.full(bands, np.log(0.2)), np.full(bands, np.log(0.1)), [0.0]])
    # A reading over the brightest solid white is gloss or noise; the ladder's own steps show the paint.
    ground = np.minimum(base, 0.93)
    return _Ladder(ground, perceived(np.stack([first, second]), _GEOMETRY, _N), likely, precision)


def _fitted(ladder: _Ladder, unknowns: Array) -> Array:
    """Return the least-squares unknowns (Gauss-Newton, damped after Marquardt 1963)."""
    cost, damping = ladder.cost(unknowns), 1e-2
    for _ in range(_ROUNDS):
        gap = ladder.gaps(unknowns)
        slopes = ladder.slopes(unknowns, gap)
        hessian = slopes.T @ slopes + ladder.precision
        gradient = slopes.T @ gap + ladder.precision @ (unknowns - ladder.likely)
        trial, reached = unknowns, cost
        while reached >= cost and damping < 1e8:
            step = np.linalg.solve(hessian + damping * np.diag(np.diag(hessian)), gradient)
            trial = np.clip(unknowns - np.clip(step, -1.0, 1.0), -9.0, 4.0)
            reached = ladder.cost(trial)
            damping *= 6.0
        if reached >= cost:
            break
        done = cost - reached < 1e-3 * (1.0 + cost)
        unknowns, cost, damping = trial, reached, max(damping / 30.0, 1e-6)
        if done:
            break
    return unknowns


def _starts(base: Array, first: Array, second: Array) -> tuple[Array, Array]:
    """Return two first guesses: a dye that hardly hazes, and a paint on its way to the colour it hides with."""
    bands = base.size
    tau = np.clip(np.log((base + 1e-3) / (second + 1e-3)) / 4.6, 1e-2, 3.0)
    hidden = np.clip(second + 0.5 * (second - first), 0.005, 0.95)
    inner = np.clip(hidden / (0.4 + 0.6 * hidden), 0.01, 0.97)
    ratio = np.maximum((1.0 - inner) ** 2 / (2.0 * inner), 3e-3)
    clear = np.concatenate([np.log(tau), np.full(bands, np.log(0.03)), [0.0]])
    hiding = np.concatenate([np.log(0.3 * ratio), np.full(bands, np.log(0.5)), [0.0]])
    return clear, hiding
