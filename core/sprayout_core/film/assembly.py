"""Panel steps laid out as arrays, and the normal equations of fitting them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.film.knowledge import UNCALIBRATED
from sprayout_core.film.model import Slopes, perceived, slopes
from sprayout_core.film.panel import GroundKind, PanelStep

__all__ = ["Group", "Layout", "State", "laid_out"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NOISE = 5e-4  # of a reading, reflectance
MODEL = 1.5e-3  # of the model, in the perceived scale; 0.1 to 0.2 dE00
SHOP_SPREAD = 0.2
GAUGE = 0.02  # a film gauge's relative uncertainty, beside which coats counted do not matter
SMOOTH = 0.25  # relative freedom of the curvature over neighbouring bands
FLOOR = 2e-3  # smallest trapping: below it the model's slope by trapping is endless


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
    trap: Array
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
            np.clip(self.trap + np.clip(parts[2], -0.2, 0.2), FLOOR, 1.5),
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
        _film_precision([first[films[place]] for place in places], nominal[places], scatter)
        for places in film_panels
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
            )
        )
    rows_s = tuple(place for place, dye in enumerate(dyes) if dye in scattering)
    bands = steps[0].reading.size
    return Layout(dyes, rows_s, traps, shops, films, nominal, film_panels, precision, tuple(groups), bands, n)


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


@dataclass(frozen=True, slots=True, eq=False)
class Equations:
    """Cost, and the pieces of its quadratic model: films are eliminated later."""

    cost: float
    hessian: Array
    gradient: Array
    film_blocks: tuple[Array, ...]
    film_gradient: Array
    cross: Array
    misfit: Array  # mean squared standardised residual per step


def residuals(layout: Layout, state: State, robust: Array) -> tuple[float, Array]:
    """Return the cost alone, and each step's mean squared standardised residual."""
    misfit = np.zeros(robust.size)
    for group in layout.groups:
        model = _evaluated(layout, group, state)[0]
        misfit[group.rows] = np.mean((model.value - group.seen) ** 2 * group.precision, axis=-1)
    return float(np.sum(robust * misfit) * layout.bands + _prior_cost(layout, state)), misfit


def equations(layout: Layout, state: State, robust: Array) -> Equations:
    """Return cost, gradient and Gauss-Newton Hessian at a state; robust weights per step."""
    bands, size = layout.bands, layout.size
    hessian, gradient = np.zeros((size, size)), np.zeros(size)
    cross, film_diagonal = np.zeros((len(layout.films), size)), np.zeros(len(layout.films))
    film_gradient, misfit = np.zeros(len(layout.films)), np.zeros(robust.size)
    spectral = layout.spectral
    blocks = hessian[: spectral * bands, : spectral * bands].reshape(spectral, bands, spectral, bands)
    along = np.arange(bands)
    for group in layout.groups:
        model, by_dye, by_film, by_rest = _slopes_of(layout, group, state)
        gap = model.value - group.seen
        misfit[group.rows] = np.mean(gap**2 * group.precision, axis=-1)
        weight = group.precision * robust[group.rows][:, None]
        weighted = by_dye * weight[:, None, :]
        blocks[:, along, :, along] += np.einsum("pdl,pel->lde", weighted, by_dye)
        mixed = np.einsum("pdl,pxl->dlx", weighted, by_rest).reshape(spectral * bands, -1)
        hessian[: spectral * bands, spectral * bands :] += mixed
        hessian[spectral * bands :, : spectral * bands] += mixed.T
        hessian[spectral * bands :, spectral * bands :] += np.einsum(
            "pxl,pyl->xy", by_rest * weight[:, None], by_rest
        )
        gradient[: spectral * bands] += np.einsum("pdl,pl->dl", weighted, gap).ravel()
        gradient[spectral * bands :] += np.einsum("pxl,pl->x", by_rest, gap * weight)
        np.add.at(film_diagonal, group.film, np.sum(by_film**2 * weight, axis=-1))
        np.add.at(film_gradient, group.film, np.sum(by_film * gap * weight, axis=-1))
        row = np.concatenate(
            [
                (weighted * by_film[:, None, :]).reshape(len(group.rows), -1),
                np.einsum("pxl,pl->px", by_rest, by_film * weight),
            ],
            axis=1,
        )
        np.add.at(cross, group.film, row)
    cost = float(np.sum(robust * misfit) * bands + _prior_cost(layout, state))
    _add_priors(layout, state, hessian, gradient)
    film_blocks = []
    for places, precision in zip(layout.film_panels, layout.film_precision, strict=True):
        film_blocks.append(precision + np.diag(film_diagonal[places]))
        film_gradient[places] += precision @ state.film[places]
    return Equations(cost, hessian, gradient, tuple(film_blocks), film_gradient, cross, misfit)


def _evaluated(layout: Layout, group: Group, state: State) -> tuple[Slopes, Array, Array, Array]:
    film = layout.coats[group.film] * (1.0 + state.film[group.film])
    shop = np.append(state.log_shop, 0.0)[group.shop]
    thickness = (film * np.exp(shop))[:, None]
    absorbed = group.shares @ state.absorption
    scattered = group.shares @ state.scattering
    trap = np.append(state.trap, 1.0)[group.trap][:, None]
    total = scattered * thickness if layout.scattering else None
    return (
        slopes(group.ground, absorbed * thickness, total, group.geometry, layout.n, trap),
        absorbed,
        scattered,
        thickness,
    )


def _slopes_of(layout: Layout, group: Group, state: State) -> tuple[Slopes, Array, Array, Array]:
    model, absorbed, scattered, thickness = _evaluated(layout, group, state)
    weights = group.shares * thickness
    by_dye = [weights[:, :, None] * model.absorbed[:, None, :]]
    if layout.scattering:
        by_dye.append(weights[:, list(layout.scattering), None] * model.scattered[:, None, :])
    by_thickness = model.absorbed * absorbed + model.scattered * scattered
    by_film = by_thickness * (thickness / (1.0 + state.film[group.film][:, None]))
    by_rest = np.zeros((len(group.rows), len(layout.traps) + len(layout.shops) - 1, layout.bands))
    rows = np.arange(len(group.rows))
    metal, elsewhere = group.trap >= 0, group.shop >= 0
    by_rest[rows[metal], group.trap[metal]] = model.trap[metal]
    by_rest[rows[elsewhere], len(layout.traps) + group.shop[elsewhere]] = (by_thickness * thickness)[
        elsewhere
    ]
    return model, np.concatenate(by_dye, axis=1), by_film, by_rest


def _curvature(bands: int) -> Array:
    second = np.zeros((bands - 2, bands))
    for row in range(bands - 2):
        second[row, row : row + 3] = (1.0, -2.0, 1.0)
    return second


def _prior_rows(layout: Layout, state: State) -> tuple[Array, Array, Array]:
    spectra = np.concatenate([state.absorption, state.scattering[list(layout.scattering)]])
    second = _curvature(layout.bands)
    level = SMOOTH * np.maximum(spectra.max(axis=-1), 0.02)
    return spectra, second, level


def _prior_cost(layout: Layout, state: State) -> float:
    spectra, second, level = _prior_rows(layout, state)
    cost = float(np.sum((spectra @ second.T / level[:, None]) ** 2))
    cost += float(np.sum(((state.trap - UNCALIBRATED.value) / UNCALIBRATED.uncertainty) ** 2))
    cost += float(np.sum((state.log_shop / SHOP_SPREAD) ** 2))
    for places, precision in zip(layout.film_panels, layout.film_precision, strict=True):
        cost += float(state.film[places] @ precision @ state.film[places])
    return cost


def _add_priors(layout: Layout, state: State, hessian: Array, gradient: Array) -> None:
    spectra, second, level = _prior_rows(layout, state)
    bands, end = layout.bands, layout.spectral * layout.bands
    square = second.T @ second
    for row in range(layout.spectral):
        part = slice(row * bands, (row + 1) * bands)
        hessian[part, part] += square / level[row] ** 2 + 1e-4 * np.eye(bands)
        gradient[part] += square @ spectra[row] / level[row] ** 2
    values = np.concatenate([state.trap - UNCALIBRATED.value, state.log_shop])
    widths = np.concatenate(
        [np.full(state.trap.size, UNCALIBRATED.uncertainty), np.full(state.log_shop.size, SHOP_SPREAD)]
    )
    hessian[end:, end:] += np.diag(1.0 / widths**2)
    gradient[end:] += values / widths**2
