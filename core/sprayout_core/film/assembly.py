"""The normal equations of fitting panel steps: readings, and what is held likely before any."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sprayout_core.film.knowledge import TRAPPING_SPREAD
from sprayout_core.film.layout import Group, Layout, State
from sprayout_core.film.model import Slopes, slopes

__all__ = ["Equations", "equations", "panel_equations", "residuals"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SHOP_SPREAD = 0.2  # how far a shop's film per coat may lie from the first shop's
SMOOTH = 0.25  # relative freedom of the curvature of absorption over neighbouring bands
HAZE_SMOOTH = 0.08  # the same for scattering, which turns slowly over wavelength


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


def _data(layout: Layout, groups: Sequence[Group], state: State, robust: Array) -> Equations:
    """Return what readings alone say, without priors; film blocks hold the films' own curvature as one row."""
    bands, size = layout.bands, layout.size
    hessian, gradient = np.zeros((size, size)), np.zeros(size)
    cross, film_diagonal = np.zeros((len(layout.films), size)), np.zeros(len(layout.films))
    film_gradient, misfit = np.zeros(len(layout.films)), np.zeros(robust.size)
    spectral = layout.spectral
    blocks = hessian[: spectral * bands, : spectral * bands].reshape(spectral, bands, spectral, bands)
    along = np.arange(bands)
    for group in groups:
        model, by_dye, by_film, by_rest = _slopes_of(layout, group, state)
        gap = model.value - group.seen
        misfit[group.rows] = np.mean(gap**2 * group.precision, axis=-1)
        weight = group.precision * robust[group.rows][:, None]
        weighted = by_dye * weight[:, None, :]
        blocks[:, along, :, along] += np.einsum("pdl,pel->lde", weighted, by_dye)
        mixed = np.einsum("pdl,pxl->dlx", weighted, by_rest).reshape(spectral * bands, -1)
        hessian[: spectral * bands, spectral * bands :] += mixed
        hessian[spectral * bands :, : spectral * bands] += mixed.T
        hessian[spectral * bands :, spectral * bands :] += np.einsum("pxl,pyl->xy", by_rest * weight[:, None], by_rest)
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
    return Equations(0.0, hessian, gradient, (film_diagonal,), film_gradient, cross, misfit)


def equations(layout: Layout, state: State, robust: Array) -> Equations:
    """Return cost, gradient and Gauss-Newton Hessian at a state; robust weights per step."""
    data = _data(layout, layout.groups, state, robust)
    cost = float(np.sum(robust * data.misfit) * layout.bands + _prior_cost(layout, state))
    _add_priors(layout, state, data.hessian, data.gradient)
    film_blocks = []
    for places, precision in zip(layout.film_panels, layout.film_precision, strict=True):
        film_blocks.append(precision + np.diag(data.film_blocks[0][places]))
        data.film_gradient[places] += precision @ state.film[places]
    return replace(data, cost=cost, film_blocks=tuple(film_blocks))


def panel_equations(layout: Layout, state: State, rows: Index, steps: int) -> tuple[Array, Array]:
    """Return what one panel adds to the Hessian and gradient of all unknowns but the films.

    rows    the panel's steps, in the order they were given
    steps   how many steps there are in all
    """
    groups = [group.taken(np.flatnonzero(np.isin(group.rows, rows))) for group in layout.groups]
    groups = [group for group in groups if group.rows.size]
    data = _data(layout, groups, state, np.ones(steps))
    mine = {int(film) for group in groups for film in group.film}
    for places, precision in zip(layout.film_panels, layout.film_precision, strict=True):
        if mine.isdisjoint(places.tolist()):
            continue
        block = precision + np.diag(data.film_blocks[0][places])
        pulled = data.film_gradient[places] + precision @ state.film[places]
        solved = np.linalg.solve(block, np.column_stack([pulled, data.cross[places]]))
        hessian = data.hessian - data.cross[places].T @ solved[:, 1:]
        return hessian, data.gradient - solved[:, 1:].T @ pulled
    return data.hessian, data.gradient


def _evaluated(layout: Layout, group: Group, state: State) -> tuple[Slopes, Array, Array, Array]:
    film = layout.coats[group.film] * (1.0 + state.film[group.film])
    shop = np.append(state.log_shop, 0.0)[group.shop]
    thickness = (film * np.exp(shop))[:, None]
    absorbed = group.shares @ state.absorption
    scattered = group.shares @ state.scattering
    metallic = np.append(np.exp(state.log_trap), 1.0)[group.trap][:, None]
    trap = np.where(group.trap[:, None] >= 0, metallic, group.solid)
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
    by_rest[rows[metal], group.trap[metal]] = model.trap[metal] * np.exp(state.log_trap)[group.trap[metal], None]
    by_rest[rows[elsewhere], len(layout.traps) + group.shop[elsewhere]] = (by_thickness * thickness)[elsewhere]
    return model, np.concatenate(by_dye, axis=1), by_film, by_rest


def _curvature(bands: int) -> Array:
    second = np.zeros((bands - 2, bands))
    for row in range(bands - 2):
        second[row, row : row + 3] = (1.0, -2.0, 1.0)
    return second


def _prior_rows(layout: Layout, state: State) -> tuple[Array, Array, Array]:
    spectra = np.concatenate([state.absorption, state.scattering[list(layout.scattering)]])
    second = _curvature(layout.bands)
    freedom = np.where(np.arange(layout.spectral) < len(layout.dyes), SMOOTH, HAZE_SMOOTH)
    level = freedom * np.maximum(spectra.max(axis=-1), 0.02)
    return spectra, second, level


def _prior_cost(layout: Layout, state: State) -> float:
    spectra, second, level = _prior_rows(layout, state)
    cost = float(np.sum((spectra @ second.T / level[:, None]) ** 2))
    cost += float(np.sum(((state.log_trap - layout.trap_guess) / TRAPPING_SPREAD) ** 2))
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
    values = np.concatenate([state.log_trap - layout.trap_guess, state.log_shop])
    widths = np.concatenate([np.full(state.log_trap.size, TRAPPING_SPREAD), np.full(state.log_shop.size, SHOP_SPREAD)])
    hessian[end:, end:] += np.diag(1.0 / widths**2)
    gradient[end:] += values / widths**2
