"""Panel steps laid out as arrays, with the place of every unknown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.film.knowledge import solid_trapping, uncalibrated
from sprayout_core.film.model import perceived
from sprayout_core.film.panel import GroundKind, PanelStep

__all__ = ["Group", "Layout", "State", "laid_out"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NOISE = 5e-4  # of a reading, reflectance
MODEL = 1.5e-3  # of the model, in the perceived scale; 0.1 to 0.2 dE00
GAUGE = 0.02  # a film gauge's relative uncertainty, beside which coats counted do not matter


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """All steps of one geometry: rows (r) of arrays, wavelengths last."""

    geometry: str
    rows: Index
    ground: Array
    seen: Array
    precision: Array
    shares: Array
    film: Index
    trap: Index  # -1 where the ground is diffusing
    shop: Index  # -1 for the first shop
    solid: Array  # trapping per band, where the ground is diffusing

    def taken(self, kept: Index) -> Group:
        """Return the group with only some of its rows."""
        return Group(
            self.geometry, self.rows[kept], self.ground[kept], self.seen[kept], self.precision[kept],
            self.shares[kept], self.film[kept], self.trap[kept], self.shop[kept], self.solid[kept],
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Where every unknown sits."""

    dyes: tuple[str, ...]
    scattering: tuple[int, ...]
    traps: tuple[tuple[str, str], ...]
    shops: tuple[str, ...]
    films: tuple[tuple[str, float], ...]
    coats: Array  # nominal coats per film
    film_panels: tuple[Index, ...]  # films of one panel, rising coats
    film_precision: tuple[Array, ...]
    groups: tuple[Group, ...]
    trap_guess: Array  # log of each trapping before any panel
    bands: int
    n: float

    @property
    def spectral(self) -> int:
        """How many unknowns there are per band."""
        return len(self.dyes) + len(self.scattering)

    @property
    def size(self) -> int:
        """How many unknowns there are beside the films."""
        return self.spectral * self.bands + len(self.traps) + len(self.shops) - 1


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """Values of the unknowns."""

    absorption: Array
    scattering: Array
    log_trap: Array
    log_shop: Array
    film: Array  # relative film of each step against coats counted, minus 1

    def moved(self, step: Array, film_step: Array, layout: Layout) -> State:
        """Return the state after a step, kept where absorption, scattering and trapping can be."""
        dyes, scattering, bands = len(layout.dyes), len(layout.scattering), layout.bands
        parts = np.split(step, np.cumsum([dyes * bands, scattering * bands, len(layout.traps)]))
        rows = self.scattering.copy()
        for place, row in enumerate(layout.scattering):
            rows[row] = np.maximum(rows[row] + parts[1].reshape(scattering, bands)[place], 1e-6)
        return State(
            np.maximum(self.absorption + parts[0].reshape(dyes, bands), 0.0),
            rows,
            np.clip(self.log_trap + np.clip(parts[2], -0.7, 0.7), -7.0, 5.0),
            self.log_shop + np.clip(parts[3], -0.5, 0.5),
            np.clip(self.film + np.clip(film_step, -0.3, 0.3), -0.8, 2.0),
        )


def laid_out(
    steps: Sequence[PanelStep],
    scattering: frozenset[str],
    scatter: Mapping[str, float],
    um_per_coat: float | None,
    n: float,
) -> Layout:
    """Return the arrays of all steps."""
    dyes = tuple(sorted({dye for step in steps for dye in step.shares}))
    shops = tuple(dict.fromkeys(step.shop for step in steps))
    metallic = [s for s in steps if s.ground.kind is GroundKind.METALLIC]
    traps = tuple(dict.fromkeys((s.ground.name, s.geometry) for s in metallic))
    films = tuple(dict.fromkeys((s.panel, s.coats) for s in steps))
    first = {(s.panel, s.coats): s for s in reversed(steps)}
    nominal = np.array([_nominal(first[film], um_per_coat) for film in films])
    panels: dict[str, list[int]] = {}
    for place in sorted(range(len(films)), key=lambda each: films[each][1]):
        panels.setdefault(films[place][0], []).append(place)
    film_panels = tuple(np.array(places) for places in panels.values())
    precision = tuple(
        _film_precision([first[films[place]] for place in places], nominal[places], scatter) for places in film_panels
    )
    film_at = {film: place for place, film in enumerate(films)}
    trap_at = {trap: place for place, trap in enumerate(traps)}
    groups = []
    for geometry in dict.fromkeys(step.geometry for step in steps):
        rows = [place for place, step in enumerate(steps) if step.geometry == geometry]
        mine = [steps[row] for row in rows]
        reading = np.array([step.reading for step in mine])
        seen = perceived(reading, geometry, n)
        weight = np.array([step.weight for step in mine])[:, None]
        groups.append(
            Group(
                geometry,
                np.array(rows),
                np.array([step.ground.reading(geometry) for step in mine]),
                seen,
                weight / (MODEL**2 + (NOISE / (3.0 * seen**2)) ** 2),
                np.array([[step.shares.get(dye, 0.0) for dye in dyes] for step in mine]),
                np.array([film_at[step.panel, step.coats] for step in mine]),
                np.array([trap_at.get((step.ground.name, geometry), -1) for step in mine]),
                np.array([shops.index(step.shop) - 1 for step in mine]),
                np.array([solid_trapping(step.ground.reading(geometry), geometry, n)[0] for step in mine]),
            )
        )
    rows_s = tuple(place for place, dye in enumerate(dyes) if dye in scattering)
    bands = steps[0].reading.size
    base = {(s.ground.name, s.geometry): s.ground.reading(s.geometry) for s in metallic}
    guess = np.log([uncalibrated(base[key], key[1], n).value for key in traps])
    return Layout(dyes, rows_s, traps, shops, films, nominal, film_panels, precision, tuple(groups), guess, bands, n)


def _nominal(step: PanelStep, um_per_coat: float | None) -> float:
    return step.film_um / um_per_coat if step.film_um is not None and um_per_coat else step.coats


def _film_precision(steps: list[PanelStep], coats: Array, scatter: Mapping[str, float]) -> Array:
    """Return the inverse covariance of the relative films of one panel's steps: coats add up, so they share errors."""
    measured = np.array([step.film_um is not None for step in steps])
    width = scatter[steps[0].paint]
    covariance = width**2 * np.minimum.outer(coats, coats) / np.outer(coats, coats)
    if measured.any():
        covariance[measured] = covariance[:, measured] = 0.0
        covariance[measured, measured] = GAUGE**2
    return np.asarray(np.linalg.inv(covariance + np.eye(len(steps)) * (0.1 * width / 3) ** 2), float)
