"""Learning dyes, grounds and shops from all panels at once, with film build as the hidden variable."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import Fault, FaultsError, SprayoutError
from sprayout_core.film.assembly import Equations, equations, residuals
from sprayout_core.film.knowledge import Estimate, Learned, Suspect, as_wavelengths
from sprayout_core.film.layout import Layout, State, laid_out
from sprayout_core.film.panel import PanelStep

__all__ = ["COAT_SCATTER", "Fit", "fitted", "learn_steps", "learned_from"]

Array = NDArray[np.float64]

COAT_SCATTER = 0.05
_ROUNDS = 40
_SUSPECT = 6.0
_WAVELENGTHS = np.arange(400.0, 701.0, 10.0)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A finished fit, before its accuracy is known."""

    layout: Layout
    state: State
    equations: Equations
    reduced: Array  # Hessian with the films eliminated
    robust: Array


def learn_steps(
    steps: Sequence[PanelStep],
    wavelengths: ArrayLike | None = None,
    scattering: Collection[str] = (),
    coat_scatter: Mapping[str, float] | None = None,
    n: float = 1.5,
    start: Learned | None = None,
) -> tuple[Learned, Fit]:
    """Return what the panels teach, without its accuracy, and the fit itself."""
    _check(steps, frozenset(scattering))
    if not all(0 < one < 1 for one in (coat_scatter or {}).values()):
        raise SprayoutError("the scatter of a coat lies between 0 and 1", "0.05 is 5 %.", place="coat_scatter")
    paints = {step.paint for step in steps}
    scatter = {paint: (coat_scatter or {}).get(paint, COAT_SCATTER) for paint in paints}
    um = _um_per_coat(steps)
    layout = laid_out(steps, frozenset(scattering), scatter, um, n)
    robust = np.ones(len(steps))
    fit = fitted(layout, _start(layout, steps, start), robust)
    suspects = _suspects(steps, fit)
    if suspects:
        names = {suspect.panel for suspect in suspects}
        robust = np.where([step.panel in names for step in steps], 1e-3, 1.0)
        fit = fitted(layout, fit.state, robust)
    if coat_scatter is None:
        learned_scatter = {paint: _own_scatter(steps, fit, paint) for paint in paints}
        if any(abs(learned_scatter[paint] / scatter[paint] - 1.0) > 0.2 for paint in paints):
            scatter = learned_scatter
            layout = laid_out(steps, frozenset(scattering), scatter, um, n)
            fit = fitted(layout, fit.state, robust)
    grid = as_wavelengths(_WAVELENGTHS if wavelengths is None else wavelengths, layout.bands)
    return learned_from(steps, fit, grid, scatter, um, suspects), fit


def fitted(layout: Layout, state: State, robust: Array) -> Fit:
    """Return the least-squares fit from a starting state (Gauss-Newton, damped after Marquardt 1963)."""
    damping = 1e-3
    now = equations(layout, state, robust)
    for _ in range(_ROUNDS):
        reduced, gradient, solve_film = _eliminated(layout, now)
        scaled = reduced + damping * np.diag(np.diag(reduced))
        step = np.asarray(-np.linalg.solve(scaled, gradient), float)
        film_step = solve_film.after(step)
        trial = state.moved(step, film_step, layout)
        cost, _ = residuals(layout, trial, robust)
        if cost < now.cost:
            done = now.cost - cost < 1e-5 * (1.0 + cost)
            state, now, damping = trial, equations(layout, trial, robust), max(damping * 0.2, 1e-9)
            if done:
                break
        elif damping > 1e6:
            break
        else:
            damping *= 8.0
    return Fit(layout, state, now, _eliminated(layout, now)[0], robust)


@dataclass(frozen=True, slots=True, eq=False)
class _FilmStep:
    """Gives the films' step once the other unknowns' step is known."""

    gradient: Array  # solved, (films,)
    cross: Array  # solved, (films, unknowns)

    def after(self, step: Array) -> Array:
        """Return the step of every film, (films,)."""
        return np.asarray(-self.gradient - self.cross @ step, float)


def _eliminated(layout: Layout, now: Equations) -> tuple[Array, Array, _FilmStep]:
    """Return Hessian and gradient of all unknowns but the films (Schur's complement).

    Each panel's films are solved by themselves; panels with as many steps in one go.
    """
    solved = np.concatenate([now.film_gradient[:, np.newaxis], now.cross], axis=1)
    alike: dict[int, list[int]] = {}
    for panel, places in enumerate(layout.film_panels):
        alike.setdefault(places.size, []).append(panel)
    for panels in alike.values():
        places = np.array([layout.film_panels[panel] for panel in panels])
        blocks = np.array([now.film_blocks[panel] for panel in panels])
        solved[places] = np.linalg.solve(blocks, solved[places])
    cross_solved = solved[:, 1:]
    reduced = now.hessian - now.cross.T @ cross_solved
    gradient = now.gradient - cross_solved.T @ now.film_gradient
    return 0.5 * (reduced + reduced.T), gradient, _FilmStep(solved[:, 0], cross_solved)


def _start(layout: Layout, steps: Sequence[PanelStep], start: Learned | None) -> State:
    """Return a first guess: exp(-2 tau) per band, least squares over all steps, or an earlier result."""
    share = np.array([[step.shares.get(dye, 0.0) * step.coats for dye in layout.dyes] for step in steps])
    drop = np.array(
        [np.log((step.ground.reading(step.geometry) + 1e-3) / (np.maximum(step.reading, 0.0) + 1e-3)) for step in steps]
    )
    bright = np.array([step.ground.reading(step.geometry).mean() for step in steps])[:, None]
    tau = np.clip(drop / 2.3, 0.0, 3.0)
    weighted = share * bright
    absorption = np.linalg.solve(weighted.T @ weighted + 1e-3 * np.eye(len(layout.dyes)), weighted.T @ (tau * bright))
    absorption = np.clip(absorption, 1e-3, 5.0)
    scattering = np.zeros_like(absorption)
    scattering[list(layout.scattering)] = 0.05
    log_trap = layout.trap_guess.copy()
    log_shop = np.zeros(len(layout.shops) - 1)
    if start is not None:
        for row, dye in enumerate(layout.dyes):
            if dye in start.dyes:
                absorption[row] = start.absorption[start.row(dye)]
                if row in layout.scattering:
                    scattering[row] = np.maximum(start.scattering[start.row(dye)], 1e-6)
        for place, key in enumerate(layout.traps):
            if key in start.trappings:
                log_trap[place] = np.log(start.trappings[key].value)
        log_shop = np.log([start.of_film(shop).value for shop in layout.shops[1:]])
    return State(absorption, scattering, log_trap, np.asarray(log_shop, float), np.zeros(len(layout.films)))


def _suspects(steps: Sequence[PanelStep], fit: Fit) -> tuple[Suspect, ...]:
    """Name panels whose spectra do not fit, or whose film would have to lie far off, beside all others."""
    panels: dict[str, list[int]] = {}
    for row, step in enumerate(steps):
        panels.setdefault(step.panel, []).append(row)
    misfit = {panel: float(np.sqrt(np.mean(fit.equations.misfit[rows]))) for panel, rows in panels.items()}
    typical = max(float(np.median(list(misfit.values()))), 0.3)
    found = []
    for panel, value in misfit.items():
        if len(panels) >= 4 and value > _SUSPECT * typical and value > 3.0:
            found.append(Suspect(panel, value / typical, "its spectra do not fit the other panels of these dyes"))
    named = {suspect.panel for suspect in found}
    for places, precision in zip(fit.layout.film_panels, fit.layout.film_precision, strict=True):
        film = fit.state.film[places]
        panel = fit.layout.films[places[0]][0]
        times = float(np.sqrt(film @ precision @ film / places.size))
        if len(panels) >= 4 and times > 4.0 and panel not in named:
            more = "more" if film.sum() > 0 else "less"
            found.append(
                Suspect(
                    panel,
                    times,
                    f"its film would have to be {abs(100 * film.mean()):.0f} % {more} than counted",
                )
            )
    return tuple(found)


def _own_scatter(steps: Sequence[PanelStep], fit: Fit, paint: str) -> float:
    """Return the scatter of one coat of a class of paint, drawn toward the usual 5 % while panels are few."""
    panels = {step.panel for step in steps if step.paint == paint}
    total, count = 8.0 * COAT_SCATTER**2, 8.0
    for places, block in zip(fit.layout.film_panels, fit.equations.film_blocks, strict=True):
        if fit.layout.films[places[0]][0] not in panels:
            continue
        coats, film = fit.layout.coats[places], fit.state.film[places]
        laid = np.diff(np.concatenate([[0.0], coats * film]))
        width = np.diff(np.concatenate([[0.0], coats]))
        spread = np.diag(np.linalg.inv(block)) * coats
        total += float(np.sum(laid**2 / np.maximum(width, 1e-9) + 0.5 * spread))
        count += places.size
    return float(np.sqrt(total / count))


def _um_per_coat(steps: Sequence[PanelStep]) -> float | None:
    measured = [step.film_um / step.coats for step in steps if step.film_um is not None]
    return float(np.median(measured)) if measured else None


def _check(steps: Sequence[PanelStep], scattering: frozenset[str]) -> None:
    if not steps:
        raise SprayoutError("there is no panel to learn from", "Spray one dye in 1, 2 and 4 coats and read it.")
    faults = [
        Fault(
            step.place,
            f"{step.reading.size} bands where others have {steps[0].reading.size}",
            "Use one grid.",
        )
        for step in steps
        if step.reading.size != steps[0].reading.size
    ]
    for dye in sorted(scattering):
        levels = [s.ground.reading(s.geometry).mean() for s in steps if s.shares.get(dye, 0) > 0]
        if levels and max(levels) < 3.0 * min(levels) + 0.05:
            remedy = f"Spray {dye} over white and black (a contrast card)."
            faults.append(Fault(f"dye {dye}", "haze and colour cannot be told apart on one kind of ground", remedy))
    if faults:
        raise FaultsError(faults)


def learned_from(
    steps: Sequence[PanelStep],
    fit: Fit,
    wavelengths: Array,
    scatter: Mapping[str, float],
    um: float | None,
    suspects: tuple[Suspect, ...],
) -> Learned:
    """Return a finished fit as knowledge."""
    layout, state = fit.layout, fit.state
    covariance = np.asarray(np.linalg.inv(fit.reduced), float)
    end = layout.spectral * layout.bands
    widths = np.sqrt(np.maximum(np.diag(covariance)[end:], 0.0))
    value = np.exp(state.log_trap)
    traps = {key: Estimate(float(value[i]), float(value[i] * widths[i])) for i, key in enumerate(layout.traps)}
    film = {layout.shops[0]: Estimate(1.0, 0.0)}
    for place, shop in enumerate(layout.shops[1:]):
        laid = float(np.exp(state.log_shop[place]))
        film[shop] = Estimate(laid, laid * float(widths[len(layout.traps) + place]))
    most = np.array([max(s.shares.get(dye, 0.0) * s.coats for s in steps) for dye in layout.dyes])
    panels = {dye: len({s.panel for s in steps if s.shares.get(dye, 0) > 0}) for dye in layout.dyes}
    names = tuple(layout.dyes[row] for row in layout.scattering)
    scattering = np.where(state.scattering > 1e-6, state.scattering, 0.0)
    return Learned(
        layout.dyes, names, wavelengths, layout.n, state.absorption, scattering, traps, film,
        dict(scatter), um, covariance, most, panels, suspects,
    )  # fmt: skip
