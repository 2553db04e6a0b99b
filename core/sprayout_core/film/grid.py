"""The predicted grid of grounds and coats, the ladder of ratios, and the panels that would narrow them most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye, difference_metric
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.layout import MODEL, NOISE
from sprayout_core.film.model import Slopes, film_reading, perceived, slopes
from sprayout_core.film.panel import Ground
from sprayout_core.film.prediction import D65_10, Prediction, Trial, film_of, predict, slope_rows
from sprayout_core.light import View

__all__ = ["Cell", "Rung", "WorthSpraying", "predicted_grid", "ratio_ladder", "worth_spraying"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Cell:
    """One cell of the grid; without a prediction it rests on nothing and is hatched, with what to spray."""

    ground: str
    coats: float
    predictions: tuple[Prediction, ...]
    hatched: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Rung:
    """One ratio of a ladder, parts of the first mix to parts of the second."""

    first: int
    second: int
    mix: Mapping[str, float]
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, eq=False)
class WorthSpraying:
    """A panel to spray: why, and the mean interval variance of the grid before and after it, dE00 squared."""

    trial: Trial | None
    reason: str
    before: float
    after: float


def predicted_grid(
    learned: Learned,
    mix: Mapping[str, float],
    grounds: Sequence[Ground],
    coats: Sequence[float],
    geometries: Sequence[str],
    view: View = D65_10,
    shop: str = "",
) -> tuple[tuple[Cell, ...], ...]:
    """Return predictions of a mix over grounds (rows) and coats (columns); what rests on nothing is hatched."""
    return tuple(
        tuple(_cell(learned, Trial(ground, mix, count, shop), geometries, view) for count in coats)
        for ground in grounds
    )


def ratio_ladder(
    learned: Learned,
    first: Mapping[str, float],
    second: Mapping[str, float],
    ground: Ground,
    coats: Sequence[float],
    geometries: Sequence[str],
    ratios: Sequence[tuple[int, int]] = ((0, 1), (1, 1), (2, 1), (3, 1), (4, 1), (5, 1), (6, 1)),
    view: View = D65_10,
    shop: str = "",
) -> tuple[Rung, ...]:
    """Return ratios of two mixes side by side, by parts of equal solids: 0:1 is the second alone."""
    rungs = []
    for one, two in ratios:
        if one < 0 or two < 0 or one + two == 0:
            raise SprayoutError(f"{one}:{two} is no ratio", "Give parts from 0 up, not both 0.", place="ratio")
        names = dict.fromkeys((*first, *second))
        mix = {name: (one * first.get(name, 0.0) + two * second.get(name, 0.0)) / (one + two) for name in names}
        held = {name: share for name, share in mix.items() if share > 0}
        cells = tuple(_cell(learned, Trial(ground, held, count, shop), geometries, view) for count in coats)
        rungs.append(Rung(one, two, mix, cells))
    return tuple(rungs)


def worth_spraying(
    learned: Learned,
    grid: Sequence[Trial],
    candidates: Sequence[Trial],
    geometry: str,
    most: int = 2,
    view: View = D65_10,
) -> tuple[WorthSpraying, ...]:
    """Return the one or two panels that would narrow a grid most.

    grid         what is to be predicted
    candidates   what could be sprayed and read

    Dyes never read and metallic grounds never calibrated come first: nothing else can replace their panels. Then
    panels are chosen one after the other by how much of the grid's variance (dE00) a reading of them would take;
    what is not known of a shop's own film is part of it, so that a shop's first panel is worth most.
    """
    name = geometry_of(geometry).name
    needs = _needs(learned, grid, name)[:most]
    hands = _hands(learned, [*grid, *candidates])
    rows = _grid_rows(learned, grid, name, view, hands)
    covariance = _with_hands(learned, hands)
    chosen = list(needs)
    for _ in range(most - len(needs)):
        best: tuple[float, Trial, Array] | None = None
        before = _variance(rows, covariance)
        for trial in candidates:
            # the same panel twice would only average the booth's scatter: another one is worth more to look at
            if _known(learned, trial, name) and not any(trial is one.trial for one in chosen):
                narrowed = _narrowed(learned, trial, name, covariance, hands)
                after = _variance(rows, narrowed)
                if best is None or after < best[0]:
                    best = (after, trial, narrowed)
        if best is None or not rows:
            break
        after, trial, covariance = best
        what = " + ".join(f"{share:.2f} {dye}" for dye, share in trial.mix.items())
        reason = f"{what} over {trial.ground.name}, {trial.coats:g} coats, narrows the grid most"
        chosen.append(WorthSpraying(trial, reason, before, after))
    return tuple(chosen)


def _cell(learned: Learned, trial: Trial, geometries: Sequence[str], view: View) -> Cell:
    try:
        made = predict(learned, trial, geometries, view)
    except SprayoutError as refused:
        return Cell(trial.ground.name, trial.coats, (), str(refused))
    missing = [g for g in geometries if not learned.calibrated(trial.ground, geometry_of(g).name)]
    hatched = f"{trial.ground.name} is not calibrated in {', '.join(missing)}" if missing else ""
    return Cell(trial.ground.name, trial.coats, made, hatched)


def _known(learned: Learned, trial: Trial, geometry: str) -> bool:
    return (
        all(dye in learned.dyes for dye in trial.mix)
        and geometry in trial.ground.readings
        and trial.coats > 0
        and learned.calibrated(trial.ground, geometry)
    )


def _needs(learned: Learned, grid: Sequence[Trial], geometry: str) -> list[WorthSpraying]:
    nothing = float("inf")
    unknown = dict.fromkeys(dye for trial in grid for dye in trial.mix if dye not in learned.dyes)
    found = [
        WorthSpraying(None, f"{dye} neat, 1, 2 and 4 coats over white and black: never read", nothing, nothing)
        for dye in unknown
    ]
    bare = dict.fromkeys(
        trial.ground.name for trial in grid if geometry in trial.ground.readings
        and not learned.calibrated(trial.ground, geometry)
    )  # fmt: skip
    found += [
        WorthSpraying(
            None, f"a wide-band dye (brown, grey-violet), 2 coats over {name}: not calibrated", nothing, nothing
        )
        for name in bare
    ]
    return found


def _hands(learned: Learned, trials: Sequence[Trial]) -> dict[str, float]:
    """Return the relative uncertainty of each shop's film per coat, where there is any."""
    found = {trial.shop: learned.of_film(trial.shop) for trial in trials if trial.film_um is None}
    return {shop: film.uncertainty / film.value for shop, film in found.items() if film.uncertainty > 0}


def _with_hands(learned: Learned, hands: Mapping[str, float]) -> Array:
    """Return the covariance of what was learned, with one more unknown for the film of each shop."""
    size, more = learned.covariance.shape[0], len(hands)
    covariance = np.zeros((size + more, size + more))
    covariance[:size, :size] = learned.covariance
    covariance[size:, size:] = np.diag(np.square(list(hands.values())))
    return covariance


def _rows_with_hand(rows: Array, by_hand: Array, trial: Trial, hands: Mapping[str, float]) -> Array:
    """Return slopes by every unknown, (k, unknowns + shops); the trial's own shop answers to its film."""
    more = np.zeros((len(rows), len(hands)))
    if trial.film_um is None and trial.shop in hands:
        more[:, list(hands).index(trial.shop)] = by_hand
    return np.concatenate([rows, more], axis=1)


def _grid_rows(
    learned: Learned, grid: Sequence[Trial], geometry: str, view: View, hands: Mapping[str, float]
) -> list[Array]:
    """Return each cell's slopes in steps of dE00, (3, unknowns)."""
    eye = Eye.of(learned.wavelengths, view)
    rows: list[Array] = []
    for trial in grid:
        if not _known(learned, trial, geometry):
            continue
        film, model, by_film, reading = _slopes_at(learned, trial, geometry)
        seen = perceived(reading, geometry, learned.n)
        values, vectors = np.linalg.eigh(difference_metric(eye.lab(reading)))
        root = (vectors * np.sqrt(np.maximum(values, 0.0))).T
        by_seen = root @ eye.slope(reading) * (3.0 * seen**2)
        own = slope_rows(learned, trial, geometry, film, model, by_seen)
        rows.append(_rows_with_hand(own, by_seen @ by_film, trial, hands))
    return rows


def _slopes_at(learned: Learned, trial: Trial, geometry: str) -> tuple[Array, Slopes, Array, Array]:
    shares = learned.shares([trial.mix])[0]
    film = shares * film_of(learned, trial)[0]
    absorbed, scattered = film @ learned.absorption, film @ learned.scattering
    haze = scattered[None] if scattered.any() else None
    base = trial.ground.reading(geometry)[None]
    trap = learned.trapped(trial.ground, geometry)[None]
    model = slopes(base, absorbed[None], haze, geometry, learned.n, trap)
    reading = film_reading(base, absorbed[None], haze, geometry, learned.n, trap)[0]
    by_film = model.absorbed[0] * absorbed + model.scattered[0] * scattered
    return film, model, by_film, reading


def _narrowed(learned: Learned, trial: Trial, geometry: str, covariance: Array, hands: Mapping[str, float]) -> Array:
    """Return the covariance after one more panel, read once (Kalman 1960, the linear update)."""
    film, model, by_film, reading = _slopes_at(learned, trial, geometry)
    own = slope_rows(learned, trial, geometry, film, model, np.eye(reading.size))
    rows = _rows_with_hand(own, by_film, trial, hands)
    seen = perceived(reading, geometry, learned.n)
    hand = hands.get(trial.shop, 0.0) if trial.film_um is None else 0.0
    scatter = np.sqrt(max(film_of(learned, trial)[1] ** 2 - hand**2, 1e-8))
    noise = np.diag(MODEL**2 + (NOISE / (3.0 * seen**2)) ** 2) + scatter**2 * np.outer(by_film, by_film)
    spread = rows @ covariance
    return np.asarray(covariance - spread.T @ np.linalg.solve(spread @ rows.T + noise, spread), float)


def _variance(rows: list[Array], covariance: Array) -> float:
    if not rows:
        return 0.0
    return float(np.mean([np.sum((row @ covariance) * row) for row in rows]))
