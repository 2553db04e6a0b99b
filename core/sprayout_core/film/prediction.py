"""What a mix will look like over a ground in so many coats, how sure that is, and what it rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye, difference_metric, radius_95, spread_along
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.given import numbers
from sprayout_core.film.knowledge import Learned, solid_trapping
from sprayout_core.film.layout import MODEL, NOISE
from sprayout_core.film.learning import COAT_SCATTER
from sprayout_core.film.model import Slopes, film_reading, perceived, slopes
from sprayout_core.film.panel import Ground, GroundKind
from sprayout_core.light import View

__all__ = ["D65_10", "Prediction", "Trial", "predict", "predict_readings"]

Array = NDArray[np.float64]

D65_10 = View(illuminant="D65", observer=10)
_NEIGHBOURHOOD_NM = 60.0
#: Standard uncertainty of a keyed ground's colour that was computed from its parts, dE00: as found on simulated paint.
COMPUTED = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """Something that could be sprayed: a mix over a ground in so many coats.

    ground     with readings in the geometries asked for
    mix        dry-film share of each dye, sum at most 1; the rest is clear carrier
    coats      counted, not negative; 0 is the bare ground
    shop       whose film factor applies
    paint      class of paint, for its scatter and accuracy
    film_um    dry film where it is known better than the coats
    """

    ground: Ground
    mix: Mapping[str, float]
    coats: float
    shop: str = ""
    paint: str = ""
    film_um: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Prediction:
    """A predicted reading in one geometry.

    reading     reflectance factor                                             (n,)
    lab         CIELAB in the view asked for                                   (3,)
    interval    dE00 within which a sprayed panel's reading lies, 95 times in 100
    expected    root mean square dE00 between it and a sprayed panel
    covariance  of L*, a*, b* before widening                                  (3, 3)
    rests_on    panels behind each dye of the mix
    notes       what the reader must know: extrapolations, conversions, missing calibration
    """

    geometry: str
    reading: Array
    lab: Array
    interval: float
    expected: float
    covariance: Array
    rests_on: Mapping[str, int]
    notes: tuple[str, ...] = field(default=())


def predict_readings(
    learned: Learned,
    ground: ArrayLike,
    mix: ArrayLike,
    coats: ArrayLike,
    geometry: str,
    trapping: ArrayLike = 1.0,
) -> Array:
    """Return predicted readings for arrays of trials, without intervals.

    ground     cleared readings                                                    (..., n)
    mix        dry-film shares in the order of `learned.dyes`                      (..., dyes)
    coats      nominal coats                                                       (...)
    geometry   one geometry for all
    trapping   from `learned.trapped(ground, geometry)`; broadcasts to             (..., n)
    returns    reflectance factors                                                 (..., n)
    """
    count = numbers(coats, "coats")
    if not np.all((count >= 0) & np.isfinite(count)):
        raise SprayoutError("coats must not be negative", place="coats")
    parts = numbers(mix, "mix")
    if parts.shape[-1:] != (len(learned.dyes),):
        raise SprayoutError(
            f"a mix here needs a share of each of {len(learned.dyes)} dyes, in their order", place="mix"
        )
    shares = parts * count[..., np.newaxis]
    trap = np.asarray(trapping, float)
    scattered = shares @ learned.scattering if learned.scattering_dyes else None
    absorbed = shares @ learned.absorption
    return film_reading(np.asarray(ground, float), absorbed, scattered, geometry, learned.n, trap)


def predict(learned: Learned, trial: Trial, geometries: Sequence[str], view: View = D65_10) -> tuple[Prediction, ...]:
    """Return a prediction in each geometry, with its interval and what it rests on.

    Raises SprayoutError where a dye was never learned or the ground has no reading in a geometry: the remedy
    names the panel to spray. Over a metallic ground that no panel has calibrated the interval is wide and the
    notes say which panel would narrow it.
    """
    eye = Eye.of(learned.wavelengths, view)
    return tuple(predicted(learned, trial, geometry_of(each).name, eye, learned.covariance) for each in geometries)


def predicted(learned: Learned, trial: Trial, geometry: str, eye: Eye, covariance: Array) -> Prediction:
    """Return one prediction, with a covariance of the unknowns that may differ from the learned one."""
    shares = learned.shares([trial.mix])[0]
    _check_trial(trial, shares)
    base = trial.ground.reading(geometry)
    if base.size != learned.wavelengths.size:
        raise SprayoutError("the ground has other wavelengths than the panels learned from", place=trial.ground.name)
    thickness, film_sd = film_of(learned, trial)
    where = learned.trapped(trial.ground, geometry)
    absorbed, scattered = shares @ learned.absorption, shares @ learned.scattering
    total = scattered * thickness if scattered.any() else None
    reading = film_reading(base, absorbed * thickness, total, geometry, learned.n, where)
    haze = None if total is None else total[None]
    model = slopes(base[None], (absorbed * thickness)[None], haze, geometry, learned.n, where[None])
    seen = perceived(reading, geometry, learned.n)
    # dLab/dz: the eye's slope through the perceived scale, z = cube root.
    by_seen = eye.slope(reading) * (3.0 * seen**2)
    rows = slope_rows(learned, trial, geometry, shares * thickness, model, by_seen)
    spread = rows @ covariance @ rows.T
    by_film = by_seen @ (model.absorbed[0] * absorbed + model.scattered[0] * scattered) * thickness
    spread += np.outer(by_film, by_film) * film_sd**2
    if (trial.ground.name, geometry) not in learned.trappings:
        by_trap = by_seen @ (model.trap[0] * trap_width(learned, trial.ground, geometry))
        spread += np.outer(by_trap, by_trap)
    spread += model_spread(learned, by_seen, seen)
    colour = eye.lab(reading)
    if trial.ground.computed:
        spread += COMPUTED**2 / 3.0 * np.linalg.inv(difference_metric(colour))
    variances = spread_along(colour, spread)
    factor = widening(learned, trial)
    return Prediction(
        geometry,
        reading,
        colour,
        factor * radius_95(variances),
        float(np.sqrt(np.sum(variances))),
        spread,
        {dye: learned.panels_of[dye] for dye, share in trial.mix.items() if share > 0},
        _notes(learned, trial, geometry, shares * thickness),
    )


def film_of(learned: Learned, trial: Trial) -> tuple[float, float]:
    """Return the nominal coats a trial amounts to and their relative standard uncertainty."""
    if trial.film_um is not None:
        if learned.um_per_coat is None:
            raise SprayoutError("no panel was measured in um", "Give coats, or measure one panel.", place="film_um")
        return trial.film_um / learned.um_per_coat, 0.02
    factor = learned.of_film(trial.shop)
    scatter = learned.coat_scatter.get(trial.paint, COAT_SCATTER) / np.sqrt(max(trial.coats, 1.0))
    return trial.coats * factor.value, float(np.hypot(scatter, factor.uncertainty / factor.value))


def widening(learned: Learned, trial: Trial) -> float:
    """Return by how much this class's intervals must be widened, judged on left-out panels."""
    if not learned.widening:
        return 1.0
    own = learned.widening.get((trial.paint, str(trial.ground.kind)))
    if own is not None:
        return own.factor
    same_paint = [each.factor for (paint, _), each in learned.widening.items() if paint == trial.paint]
    if same_paint:
        # Known paint over a kind of ground never left out: its calibration carries its own uncertainty.
        return 1.1 * max(same_paint)
    # A class of paint never left out: the widest known, and half as much again.
    return 1.5 * max(1.0, *(each.factor for each in learned.widening.values()))


def trap_width(learned: Learned, ground: Ground, geometry: str) -> Array:
    """Return how far a ground's trapping may lie off where no panel has fixed it, all bands together."""
    if ground.kind is GroundKind.DIFFUSING:
        return solid_trapping(ground.reading(geometry), geometry, learned.n)[1]
    return np.array([learned.trapping(ground, geometry).uncertainty])


def _check_trial(trial: Trial, shares: Array) -> None:
    finite = np.isfinite(trial.coats) and np.all(np.isfinite(shares))
    if not finite or not trial.coats >= 0 or np.any(shares < 0) or shares.sum() > 1 + 1e-9:
        raise SprayoutError("coats and shares must not be negative, shares sum to at most 1", place="trial")


def slope_rows(learned: Learned, trial: Trial, geometry: str, film: Array, model: Slopes, by_seen: Array) -> Array:
    """Return the slope of what is seen by every unknown of the covariance but the shops' film, (k, unknowns).

    by_seen   slope of what is seen by the perceived scale: (3, n) for L*, a*, b*, the identity for bands   (k, n)
    """
    rows = np.zeros((len(by_seen), learned.covariance.shape[0]))
    bands = by_seen.shape[1]
    absorbed, scattered = by_seen * model.absorbed[0], by_seen * model.scattered[0]
    blocks = [absorbed * here for here in film]
    blocks += [scattered * film[learned.row(dye)] for dye in learned.scattering_dyes]
    end = len(blocks) * bands
    rows[:, :end] = np.concatenate(blocks, axis=1)
    key = (trial.ground.name, geometry)
    if key in learned.trappings:
        rows[:, end + list(learned.trappings).index(key)] = by_seen @ model.trap[0] * learned.trappings[key].value
    return rows


def model_spread(learned: Learned, by_seen: Array, seen: Array) -> Array:
    """Return the model's own error (alike in neighbouring bands) and the instrument's noise (band by band)."""
    gap = np.abs(learned.wavelengths[:, None] - learned.wavelengths[None, :])
    alike = MODEL**2 * np.exp(-gap / _NEIGHBOURHOOD_NM)
    noise = np.diag((NOISE / (3.0 * seen**2)) ** 2)
    return np.asarray(by_seen @ (alike + noise) @ by_seen.T, float)


def _notes(learned: Learned, trial: Trial, geometry: str, film: Array) -> tuple[str, ...]:
    notes = []
    for dye, most, here in zip(learned.dyes, learned.most_film, film, strict=True):
        if here > 1.05 * most:
            notes.append(f"{dye}: {here:.2g} neat coats' worth, the most ever read was {most:.2g}; an extrapolation")
    if trial.ground.converted:
        notes.append(f"{trial.ground.name} was read bare and converted to cleared")
    if trial.ground.computed:
        notes.append(f"{trial.ground.name} was never read: computed from what was read of its parts")
    if not learned.calibrated(trial.ground, geometry):
        notes.append(
            f"{trial.ground.name} is metallic and not calibrated in {geometry}: spray one panel of a wide-band dye "
            "(brown, grey-violet), two coats, and read it"
        )
    if learned.widening and (trial.paint, str(trial.ground.kind)) not in learned.widening:
        notes.append("no panel of this class of paint over this kind of ground was ever left out to check: widened")
    return tuple(notes)
