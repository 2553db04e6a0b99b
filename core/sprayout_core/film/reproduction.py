"""Why another shop's panel differs: how much looks like film, ground, dye strength or instrument."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.model import film_reading, perceived
from sprayout_core.film.panel import Ground, spectrum
from sprayout_core.film.prediction import D65_10, Trial, film_of
from sprayout_core.light import View

__all__ = ["Cause", "Reproduction", "reproduction"]

Array = NDArray[np.float64]

# How far each usually lies from shop to shop (standard deviations); what is likely is blamed first.
_FILM, _STRENGTH, _GAIN, _OFFSET = 0.10, 0.07, 0.01, 0.002
_MISFIT = 0.004
_STEP = 1e-3


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause: its size in its own terms, its uncertainty, and the dE00 its part alone makes."""

    name: str
    size: float
    uncertainty: float
    difference: float


@dataclass(frozen=True, slots=True)
class Reproduction:
    """How another shop's panel differs from the standard, and what to change next."""

    difference: float
    causes: tuple[Cause, ...]
    unexplained: float
    advice: str


def reproduction(
    learned: Learned,
    trial: Trial,
    geometry: str,
    standard: ArrayLike,
    other: ArrayLike,
    other_ground: Ground | None = None,
    view: View = D65_10,
) -> Reproduction:
    """Return how much of a difference looks like film, ground, each dye's strength, and the instrument.

    trial          the recipe as written, over our ground
    standard       our panel's reading                           (n,)
    other          the other shop's reading                      (n,)
    other_ground   their own ground as they read it, if they did

    The measured difference is split by least squares with the usual size of each cause held likely (film 10 %,
    strength 7 %, instrument 1 % and 0.002). Film and the strength of a single dye look alike on one panel; their
    uncertainties say so. Nothing is proved by this: it says what to try first.
    """
    ours, theirs = spectrum(standard, "standard"), spectrum(other, "other")
    base = trial.ground.reading(geometry)
    if not ours.shape == theirs.shape == base.shape:
        raise SprayoutError("readings and ground have different wavelengths", "Use one grid.", place="other")
    changed = _changes(learned, trial, geometry, theirs, other_ground)
    names = list(changed)
    start = _reading(learned, trial, geometry, base, {})
    zero = perceived(start, geometry, learned.n)
    gap = perceived(theirs, geometry, learned.n) - perceived(ours, geometry, learned.n)
    slopes = np.stack([(perceived(changed[name][0], geometry, learned.n) - zero) / changed[name][1] for name in names])
    likely = np.array([changed[name][2] for name in names])
    fixed = np.array([np.isinf(width) for width in likely])
    # A ground that was read is known: its part is taken as it is, not fitted.
    left = gap - slopes[fixed].sum(axis=0)
    fitted = slopes[~fixed]
    hessian = fitted @ fitted.T / _MISFIT**2 + np.diag(1.0 / likely[~fixed] ** 2)
    covariance = np.linalg.inv(hessian)
    sizes = covariance @ (fitted @ left) / _MISFIT**2
    eye = Eye.of(learned.wavelengths, view)
    size, width = np.ones(len(names)), np.zeros(len(names))
    size[~fixed], width[~fixed] = sizes, np.sqrt(np.diag(covariance))
    causes = []
    for place, name in enumerate(names):
        moved = _unseen(perceived(ours, geometry, learned.n) + size[place] * slopes[place], ours, geometry, learned.n)
        alone = float(ciede2000(eye.lab(ours), eye.lab(moved)))
        causes.append(Cause(name, float(size[place]), float(width[place]), alone))
    explained = _unseen(perceived(ours, geometry, learned.n) + size @ slopes, ours, geometry, learned.n)
    causes.sort(key=lambda cause: -cause.difference)
    total = float(ciede2000(eye.lab(ours), eye.lab(theirs)))
    rest = float(ciede2000(eye.lab(explained), eye.lab(theirs)))
    return Reproduction(total, tuple(causes), rest, _advice(total, rest, causes))


def _changes(
    learned: Learned, trial: Trial, geometry: str, theirs: Array, other_ground: Ground | None
) -> dict[str, tuple[Array, float, float]]:
    """Return per cause the reading it would make, by how much it was changed, and its usual size."""
    base = trial.ground.reading(geometry)

    def made(below: Array, factors: Mapping[str, float]) -> Array:
        return _reading(learned, trial, geometry, below, factors)

    start = made(base, {})
    changes: dict[str, tuple[Array, float, float]] = {"film": (made(base, {"": _STEP}), _STEP, _FILM)}
    for dye, share in trial.mix.items():
        if share > 0 and len(trial.mix) > 1:
            changes[f"strength of {dye}"] = (made(base, {dye: _STEP}), _STEP, _STRENGTH)
    if other_ground is not None:
        changes["ground"] = (made(other_ground.reading(geometry), {}), 1.0, np.inf)
    changes["instrument, scale"] = (start * (1.0 + _STEP), _STEP, _GAIN)
    changes["instrument, offset"] = (start + _STEP, _STEP, _OFFSET)
    return changes


def _reading(learned: Learned, trial: Trial, geometry: str, base: Array, factors: Mapping[str, float]) -> Array:
    film = learned.shares([trial.mix])[0] * film_of(learned, trial)[0] * (1.0 + factors.get("", 0.0))
    for dye, more in factors.items():
        if dye:
            film[learned.row(dye)] *= 1.0 + more
    haze = film @ learned.scattering if learned.scattering_dyes else None
    trap = learned.trapped(trial.ground, geometry)
    return film_reading(base, film @ learned.absorption, haze, geometry, learned.n, trap)


def _unseen(seen: Array, near: Array, geometry: str, n: float) -> Array:
    """Return the reading of a perceived value, taking over the surface's reflection of a reading near it."""
    old = perceived(near, geometry, n)
    return np.asarray(np.maximum(near + seen**3 - old**3, 0.0), float)


def _advice(total: float, rest: float, causes: list[Cause]) -> str:
    if total < 0.5:
        return "reproduced: nothing to change"
    first = causes[0]
    if rest > 0.4 * total:
        return "none of film, ground, strength or instrument explains it: is it the same mix, clear and stage?"
    if first.name == "film":
        return f"try {'less' if first.size > 0 else 'more'} film first: about {abs(100 * first.size):.0f} %"
    if first.name == "ground":
        return "their ground explains most of it: match the ground before the dye"
    if first.name.startswith("strength"):
        more = "stronger" if first.size > 0 else "weaker"
        return f"{first.name[12:]} looks {abs(100 * first.size):.0f} % {more}: check their bottle, then the ratio"
    return "it looks like the instrument: read one common panel in both shops before changing anything"
