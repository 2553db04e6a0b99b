"""How many coats is this? A reading laid beside a card stepped by coats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.given import numbers
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.learning import COAT_SCATTER
from sprayout_core.film.prediction import Trial, predict_readings

__all__ = ["CoatCount", "StepCard", "coats_of", "evened", "predicted_card"]

Array = NDArray[np.float64]

_FLOOR = 1e-3
_OPEN, _KEPT = 0.4, 0.6  # shares of light from inside that pass the surface and are kept by it, n = 1.5
_FINE = 0.01
_BEYOND = 2.0
_BRIGHTEST = 50.0  # flakes near the gloss angle; nothing else comes near it


@dataclass(frozen=True, slots=True, eq=False)
class StepCard:
    """A colour in rising numbers of coats, as bands of a meter or as linear channels of a picture.

    coats      rising; 0 is the bare ground                        (k,)
    channels   positive, linear in light, all taken alike          (k, m)
    scatter    relative scatter of each coat of the card; 0 where its film is known
    strength   relative uncertainty of the whole card's strength
    """

    coats: Array
    channels: Array
    scatter: float = COAT_SCATTER
    strength: float = 0.0

    def __post_init__(self) -> None:
        coats, channels = numbers(self.coats, "step card"), numbers(self.channels, "step card")
        if coats.ndim != 1 or coats.size < 2 or channels.shape[:1] != coats.shape or channels.ndim != 2:
            raise SprayoutError("a step card needs two steps or more, one row each", place="step card")
        if not np.all(np.diff(coats) > 0) or coats[0] < 0 or not np.all(np.isfinite(coats)):
            raise SprayoutError("a step card's coats must rise from 0 or above", place="step card")
        if not np.all(np.isfinite(channels)) or np.any(channels < 0):
            raise SprayoutError("a step card's channels must be numbers from 0 up", place="step card")
        _refuse_scale(channels, "step card")
        object.__setattr__(self, "coats", coats)
        object.__setattr__(self, "channels", channels)

    def at(self, coats: ArrayLike) -> Array:
        """Return channels at any number of coats, (...) -> (..., m): monotone in log, straight beyond the last."""
        wanted = numbers(coats, "coats")
        if not np.all((wanted >= 0) & np.isfinite(wanted)):
            raise SprayoutError("coats start at 0", place="coats")
        return _channels(_monotone(self.coats, _depth(self.channels), wanted))


@dataclass(frozen=True, slots=True)
class CoatCount:
    """The answer to "how many coats is this?".

    coats        of the card's own
    low, high    95 % of what a count could be, the scatter of coats on card and piece included
    film_low, film_high   95 % of the film really there against the card's, from the reading's noise alone
    misfit       root mean square gap to the card in units of the noise: far over 1 says it is not this colour
    """

    coats: float
    low: float
    high: float
    film_low: float
    film_high: float
    misfit: float
    notes: tuple[str, ...]


def coats_of(card: StepCard, reading: ArrayLike, noise: float = 2e-3, scatter: float = COAT_SCATTER) -> CoatCount:
    """Return how many of the card's coats a reading amounts to, with its interval.

    card      from step panel readings, a picture's own step card, or `predicted_card`
    reading   channels of the piece, taken as the card's                    (m,)
    noise     standard uncertainty of a channel, relative to a white of 1, plus 0.5 % of its value
    scatter   relative scatter of one coat of this shop

    Least squares between the channels' depth (logarithm, with the light kept under the surface taken out, which
    runs nearly straight with coats) and the card's curve, monotone in each channel.
    """
    if not noise >= 0 or not scatter >= 0:
        raise SprayoutError("noise and scatter must not be negative", place="noise")
    seen = numbers(reading, "reading")
    if seen.shape != card.channels.shape[1:] or not np.all(np.isfinite(seen)) or np.any(seen < -0.01):
        raise SprayoutError("reading and card have different channels", "Take both in the same way.", place="reading")
    _refuse_scale(seen, "reading")
    seen = np.maximum(seen, 0.0)
    grid = np.arange(0.0 if card.coats[0] == 0 else card.coats[0] * 0.5, card.coats[-1] + _BEYOND, _FINE)
    curve = _depth(card.at(grid))
    width = np.hypot(noise, 0.005 * seen) * _OPEN / ((seen + _FLOOR) * (_OPEN + _KEPT * seen)) + 1e-3
    gaps = (curve - _depth(seen)) / width
    cost = np.sum(gaps**2, axis=1)
    best = int(np.argmin(cost))
    coats = _between(grid, cost, best)
    slope = np.gradient(curve, grid, axis=0)[best] / width
    own = 1.0 / max(float(np.sqrt(np.sum(slope**2))), 1e-3)
    misfit = float(np.sqrt(cost[best] / seen.size))
    # The card's own steps carry the same noise as the reading.
    own *= 1.5 * max(misfit, 1.0)
    counted = float(np.sqrt(own**2 + (scatter**2 + card.scatter**2) * max(coats, 0.0) + (card.strength * coats) ** 2))
    notes = []
    if coats > card.coats[-1]:
        notes.append(f"more than the card's last step ({card.coats[-1]:g}): an extrapolation")
    if own > 0.5:
        notes.append("the colour hardly changes with coats here: nothing finer can be said")
    if misfit > 5.0:
        notes.append("this does not look like any step of the card: another mix, another ground, or another light")
    return CoatCount(
        coats, max(coats - 1.96 * counted, 0.0), coats + 1.96 * counted, max(coats - 1.96 * own, 0.0),
        coats + 1.96 * own, misfit, tuple(notes),
    )  # fmt: skip


def _refuse_scale(channels: Array, place: str) -> None:
    if channels.max() > _BRIGHTEST:
        raise SprayoutError(
            f"a channel of {float(channels.max()):g} is not on the scale where white is 1",
            "Are these percent, or 0 to 255? Bring them to 0 to 1, linear in light.",
            place=place,
        )


def predicted_card(learned: Learned, trial: Trial, geometry: str, most: int | None = None) -> StepCard:
    """Return the step card of a mix over a ground from what was learned, as unsure as the strength of its dyes."""
    name = geometry_of(geometry).name
    counts = np.arange(0.0, (most or int(np.ceil(trial.coats)) + 2) + 1)
    shares = np.broadcast_to(learned.shares([trial.mix])[0], (counts.size, len(learned.dyes)))
    trap = learned.trapped(trial.ground, name)
    weight = shares[0] * learned.absorption.sum(axis=1)
    each = np.array([learned.strength_uncertainty(row) for row in range(len(learned.dyes))])
    strength = float(np.sqrt(np.sum((weight * each) ** 2)) / max(float(weight.sum()), 1e-12))
    readings = predict_readings(learned, trial.ground.reading(name), shares, counts, name, trap)
    return StepCard(counts, readings, 0.0, strength)


def evened(channels: ArrayLike, greys: ArrayLike) -> Array:
    """Return a picture's channels with uneven light taken out by the grey strip beside each step.

    channels, greys   linear channels of each step and of its own strip   (k, m)
    """
    values, strips = np.asarray(channels, float), np.asarray(greys, float)
    if values.shape != strips.shape or not np.all(strips > 0):
        raise SprayoutError("each step needs its own grey strip, lighter than black", place="greys")
    return np.asarray(values / strips * strips.mean(axis=0), float)


def _depth(channels: Array) -> Array:
    """Return the logarithm of channels with the surface taken off as Saunderson does, (..., m)."""
    return np.asarray(np.log(channels / (_OPEN + _KEPT * channels) + _FLOOR), float)


def _channels(depth: Array) -> Array:
    """Return the channels of a depth, the inverse of `_depth`; no real surface lets it reach its pole."""
    inner = np.minimum(np.maximum(np.exp(depth) - _FLOOR, 0.0), 0.999 / _KEPT)
    return np.asarray(_OPEN * inner / (1.0 - _KEPT * inner), float)


def _between(grid: Array, cost: Array, best: int) -> float:
    """Return the lowest point of the parabola through the best grid point and its neighbours."""
    if not 0 < best < grid.size - 1:
        return float(grid[best])
    left, here, right = cost[best - 1 : best + 2]
    bend = left - 2.0 * here + right
    return float(grid[best] + (0.5 * (left - right) / bend * _FINE if bend > 0 else 0.0))


def _monotone(x: Array, y: Array, at: Array) -> Array:
    """Return monotone cubic interpolation of every column (Fritsch and Butland 1984), straight beyond the ends."""
    falling = y[-1] <= y[0]
    steady = np.where(falling, np.minimum.accumulate(y, axis=0), np.maximum.accumulate(y, axis=0))
    width = np.diff(x)[:, None]
    secant = np.diff(steady, axis=0) / width
    slope = np.empty_like(steady)
    slope[0], slope[-1] = _end_slope(width[:2], secant[:2]), _end_slope(width[:-3:-1], secant[:-3:-1])
    left, right = secant[:-1], secant[1:]
    near, far = width[:-1] + 2.0 * width[1:], 2.0 * width[:-1] + width[1:]
    same = left * right > 0
    harmonic = (near + far) / (near / np.where(same, left, 1.0) + far / np.where(same, right, 1.0))
    slope[1:-1] = np.where(same, harmonic, 0.0)
    place = np.clip(np.searchsorted(x, at, side="right") - 1, 0, x.size - 2)
    inside = np.clip(at, x[0], x[-1])
    step = (x[place + 1] - x[place])[..., None]
    part = ((inside - x[place]) / (x[place + 1] - x[place]))[..., None]
    value = (
        (1 + 2 * part) * (1 - part) ** 2 * steady[place]
        + part * (1 - part) ** 2 * step * slope[place]
        + part**2 * (3 - 2 * part) * steady[place + 1]
        + part**2 * (part - 1) * step * slope[place + 1]
    )
    value = value + np.maximum(at - x[-1], 0.0)[..., None] * secant[-1]
    return np.asarray(value - np.maximum(x[0] - at, 0.0)[..., None] * secant[0], float)


def _end_slope(width: Array, secant: Array) -> Array:
    """Return the slope at an end from its two intervals, nearest first, never turning and never overshooting."""
    if len(secant) < 2:
        return np.asarray(secant[0], float)
    slope = ((2.0 * width[0] + width[1]) * secant[0] - width[0] * secant[1]) / (width[0] + width[1])
    slope = np.where(slope * secant[0] <= 0, 0.0, slope)
    return np.asarray(np.where(np.abs(slope) > 3.0 * np.abs(secant[0]), 3.0 * secant[0], slope), float)
