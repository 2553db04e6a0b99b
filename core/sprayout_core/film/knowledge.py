"""What has been learned from panels: dyes, grounds' trapping, shops' film, and how sure all of it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.clear import cleared_to_inner, optics_of
from sprayout_core.film.panel import Ground, GroundKind

__all__ = ["Accuracy", "Estimate", "Learned", "Suspect", "Widening"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with its standard uncertainty."""

    value: float
    uncertainty: float


@dataclass(frozen=True, slots=True)
class Suspect:
    """A panel that does not fit with the others: its name, how far off, in typical residuals, and in which way."""

    panel: str
    times: float
    reason: str


@dataclass(frozen=True, slots=True)
class Widening:
    """By how much intervals of one class must be widened so that they hold what was left out, and from how many."""

    factor: float
    panels: int


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Leave-one-panel-out error in dE00: each panel predicted from all others, its film taken as nominal.

    mean, p95    over all left-out readings
    panels       how many panels were left out in turn
    refits       for how many of them the whole fit was repeated; the others are linearised
    refit_gap    largest difference between the two ways, dE00
    """

    mean: float
    p95: float
    panels: int
    refits: int
    refit_gap: float


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """Everything `predict` and `search` rest on. Derived from panels; never shared as truth.

    dyes          names, in the order of the rows below
    absorption    natural optical thickness of one coat of each dye neat           (dyes, n)
    scattering    S of two-flux of one coat of each dye neat; 0 for clear dyes     (dyes, n)
    trappings     per (ground, geometry)
    film          per shop, film per counted coat relative to the first shop
    coat_scatter  per class of paint, standard deviation of one coat's film, relative
    um_per_coat   dry film of one nominal coat where it was measured
    covariance    of absorption, scattering (scattering dyes only), log trapping, log film, in this order
    most_film     most neat coats' worth of each dye that was read                 (dyes,)
    panels_of     how many panels taught each dye
    suspects      panels that did not fit
    accuracy      leave-one-out error, where it was worked out
    widening      per class of paint and kind of ground
    """

    dyes: tuple[str, ...]
    scattering_dyes: tuple[str, ...]
    wavelengths: Array
    n: float
    absorption: Array
    scattering: Array
    trappings: Mapping[tuple[str, str], Estimate]
    film: Mapping[str, Estimate]
    coat_scatter: Mapping[str, float]
    um_per_coat: float | None
    covariance: Array
    most_film: Array
    panels_of: Mapping[str, int]
    suspects: tuple[Suspect, ...]
    accuracy: Accuracy | None = None
    widening: Mapping[tuple[str, str], Widening] | None = None

    def with_accuracy(self, other: Learned) -> Learned:
        """Return this knowledge with the accuracy and widening that another has."""
        return replace(self, accuracy=other.accuracy, widening=other.widening)

    def row(self, dye: str) -> int:
        """Return the row of a dye, or refuse with the panel that would teach it."""
        if dye not in self.dyes:
            raise SprayoutError(
                f"nothing was learned about {dye!r}",
                f"Spray {dye} neat in 1, 2 and 4 coats over white and black, and read it.",
                place=f"dye {dye}",
            )
        return self.dyes.index(dye)

    def shares(self, mixes: Sequence[Mapping[str, float]]) -> Array:
        """Return mixes as an array of dry-film shares, (mixes, dyes)."""
        table = np.zeros((len(mixes), len(self.dyes)))
        for number, mix in enumerate(mixes):
            for dye, share in mix.items():
                table[number, self.row(dye)] = share
        return table

    def trapping(self, ground: Ground, geometry: str) -> Estimate:
        """Return a metallic ground's trapping, learned or else a wide guess; a diffusing ground's mean over bands."""
        if ground.kind is GroundKind.DIFFUSING:
            bands, width = solid_trapping(ground.reading(geometry), geometry, self.n)
            return Estimate(float(bands.mean()), float(width.mean()))
        known = self.trappings.get((ground.name, geometry))
        return known or uncalibrated(ground.reading(geometry), geometry, self.n)

    def trapped(self, ground: Ground, geometry: str) -> Array:
        """Return the trapping to predict a ground with: per band (n,) for diffusing grounds, (1,) for metallic ones."""
        if ground.kind is GroundKind.DIFFUSING:
            return solid_trapping(ground.reading(geometry), geometry, self.n)[0]
        return np.array([self.trapping(ground, geometry).value])

    def calibrated(self, ground: Ground, geometry: str) -> bool:
        """Say whether panels over this ground have fixed its trapping well enough to predict over it."""
        if ground.kind is GroundKind.DIFFUSING:
            return True
        known = self.trappings.get((ground.name, geometry))
        return known is not None and known.uncertainty < 0.4 * known.value

    def strength_uncertainty(self, row: int) -> float:
        """Return the relative standard uncertainty of one dye's strength."""
        bands = self.wavelengths.size
        part = slice(row * bands, (row + 1) * bands)
        spectrum = self.absorption[row]
        weight = spectrum / max(float(np.sum(spectrum**2)), 1e-12)
        return float(np.sqrt(max(weight @ self.covariance[part, part] @ weight, 0.0)))

    def of_film(self, shop: str) -> Estimate:
        """Return a shop's film per counted coat; a shop never seen may lay 20 % more or less."""
        return self.film.get(shop, Estimate(1.0, 0.2))


#: Relative width of what a metallic ground's trapping may be before any calibration panel.
TRAPPING_SPREAD = 1.0


def solid_trapping(reading: Array, geometry: str, n: float) -> tuple[Array, Array]:
    """Return trapping per band of a solid colour, and its uncertainty (all bands together), (n,) each.

    A pigmented coat is no ideal diffuser: light kept inside by the surface runs flat, and flat light is thrown
    back by the topmost pigment more than a reading near the normal shows, the more so the darker the coat
    (Chandrasekhar 1950 for a half-space). 1 + 0.9 (1 - R)^2 holds for simulated pigmented layers of any
    asymmetry, 1 for an ideal diffuser: taken between, nearer the pigmented.
    """
    dark = (1.0 - np.minimum(cleared_to_inner(reading, geometry, n), 1.0)) ** 2
    return 1.0 + 0.8 * dark, 0.02 + 0.3 * dark


def uncalibrated(reading: Array, geometry: str, n: float) -> Estimate:
    """Return the guess for a metallic ground no panel has calibrated, from its cleared reading alone.

    What is trapped goes with the whole ground's reflection, not with the lobe one angle happens to see: the
    darker the angle, the larger the number that stands for the same trapping.
    """
    value = 0.25 * optics_of(geometry, n).gain / max(float(np.mean(reading)), 0.01)
    return Estimate(value, TRAPPING_SPREAD * value)


def as_wavelengths(values: ArrayLike, count: int) -> Array:
    """Return wavelengths checked against the readings' length."""
    array = np.asarray(values, float)
    if array.shape == (count,) and not (np.all(np.isfinite(array)) and np.all(np.diff(array) > 0)):
        raise SprayoutError("wavelengths must be numbers that rise", "Give them in nm.", place="wavelengths")
    if array.shape != (count,):
        raise SprayoutError(f"{array.size} wavelengths for readings of {count} bands", "Use one grid for all.")
    return array
