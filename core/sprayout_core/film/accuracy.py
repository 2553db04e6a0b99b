"""How good what was learned is: each panel predicted from all others, and intervals widened until they hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.film.assembly import panel_equations
from sprayout_core.film.colour import Eye
from sprayout_core.film.knowledge import Accuracy, Estimate, Learned, Widening
from sprayout_core.film.layout import laid_out
from sprayout_core.film.learning import Fit, fitted, learned_from
from sprayout_core.film.panel import GroundKind, PanelStep
from sprayout_core.film.prediction import D65_10, Trial, film_of, predict_readings, predicted

__all__ = ["left_out"]

Array = NDArray[np.float64]

_ENOUGH = 6


@dataclass(frozen=True, slots=True)
class _LeftOut:
    panel: str
    paint: str
    kind: str
    error: float
    interval: float


def left_out(steps: Sequence[PanelStep], learned: Learned, fit: Fit, most: int, refits: int) -> Learned:
    """Return the same knowledge with its leave-one-panel-out accuracy and the widening of its intervals.

    most     how many panels at most are left out in turn (spread evenly over all)
    refits   for how many of them the fit is repeated without the panel; the others are linearised
    """
    panels = _supported(steps, learned)
    chosen = [panels[i] for i in np.unique(np.linspace(0, len(panels) - 1, min(most, len(panels))).astype(int))]
    if not chosen:
        return learned
    eye = Eye.of(learned.wavelengths, D65_10)
    found: list[_LeftOut] = []
    gap = 0.0
    again = set(chosen[:: max(1, len(chosen) // refits)][:refits]) if refits else set()
    for panel in chosen:
        rows = [row for row, step in enumerate(steps) if step.panel == panel]
        without = _without(steps, learned, fit, rows)
        found += [_judged(steps[row], without, eye) for row in rows]
        if panel in again:
            really = _refitted(steps, learned, fit, panel)
            for row in rows:
                trial = _trial(steps[row])
                one, two = (_reading(each, trial, steps[row].geometry) for each in (without, really))
                gap = max(gap, float(ciede2000(eye.lab(one), eye.lab(two))))
    errors = np.array([each.error for each in found])
    accuracy = Accuracy(float(errors.mean()), float(np.percentile(errors, 95)), len(chosen), len(again), gap)
    return replace(learned, accuracy=accuracy, widening=_widened(found))


def _supported(steps: Sequence[PanelStep], learned: Learned) -> list[str]:
    """Return the panels all of whose dyes, grounds and shops are known from other panels too, in their order."""
    dyes, metals, hazy, shops = _shown_by(steps, learned)
    order = list(shops)
    named = {suspect.panel for suspect in learned.suspects}
    found = []
    for panel, own in _by_panel(steps).items():
        mine = {dye for step in own for dye, share in step.shares.items() if share > 0}
        under = {(step.ground.name, step.geometry) for step in own if step.ground.kind is GroundKind.METALLIC}
        # The first shop is the measure of all film: leaving a panel out must not make another one first.
        without = [(next((row for row, whose in rows if whose != panel), None), shop) for shop, rows in shops.items()]
        same_shops = all(row is not None for row, _ in without) and [shop for _, shop in sorted(without)] == order
        if (
            panel not in named
            and same_shops
            and all(dyes[dye] != {panel} for dye in mine)
            and all(metals[key] != {panel} for key in under)
            and all(sum(by != {panel} for by in hazy[dye].values()) >= 2 for dye in mine & hazy.keys())
        ):
            found.append(panel)
    return found


def _by_panel(steps: Sequence[PanelStep]) -> dict[str, list[PanelStep]]:
    panels: dict[str, list[PanelStep]] = {}
    for step in steps:
        panels.setdefault(step.panel, []).append(step)
    return panels


#: Panels by dye; by metallic ground and geometry; by hazy dye and ground; (row, panel) by shop, up to two panels.
_Shown = tuple[
    dict[str, set[str]],
    dict[tuple[str, str], set[str]],
    dict[str, dict[str, set[str]]],
    dict[str, list[tuple[int, str]]],
]


def _shown_by(steps: Sequence[PanelStep], learned: Learned) -> _Shown:
    dyes: dict[str, set[str]] = {}
    metals: dict[tuple[str, str], set[str]] = {}
    hazy: dict[str, dict[str, set[str]]] = {dye: {} for dye in learned.scattering_dyes}
    shops: dict[str, list[tuple[int, str]]] = {}
    for row, step in enumerate(steps):
        for dye, share in step.shares.items():
            if share > 0:
                dyes.setdefault(dye, set()).add(step.panel)
                if dye in hazy:
                    hazy[dye].setdefault(step.ground.name, set()).add(step.panel)
        if step.ground.kind is GroundKind.METALLIC:
            metals.setdefault((step.ground.name, step.geometry), set()).add(step.panel)
        first = shops.setdefault(step.shop, [])
        if len(first) < 2 and step.panel not in {panel for _, panel in first}:
            first.append((row, step.panel))
    return dyes, metals, hazy, shops


def _without(steps: Sequence[PanelStep], learned: Learned, fit: Fit, rows: list[int]) -> Learned:
    """Return what would have been learned without these rows, to first order about the fit."""
    layout, state = fit.layout, fit.state
    hessian, gradient = panel_equations(layout, state, np.array(rows), len(steps))
    rest = fit.reduced - fit.robust[rows[0]] * hessian
    covariance = np.linalg.inv(rest)
    step = covariance @ (fit.robust[rows[0]] * gradient)
    moved = state.moved(step, np.zeros_like(state.film), layout)
    traps = {
        key: Estimate(float(np.exp(moved.log_trap[i])), learned.trappings[key].uncertainty)
        for i, key in enumerate(layout.traps)
    }
    film = dict(learned.film)
    for place, shop in enumerate(layout.shops[1:]):
        film[shop] = Estimate(float(np.exp(moved.log_shop[place])), film[shop].uncertainty)
    return replace(
        learned, absorption=moved.absorption, scattering=moved.scattering, trappings=traps, film=film,
        covariance=covariance, widening=None,
    )  # fmt: skip


def _refitted(steps: Sequence[PanelStep], learned: Learned, fit: Fit, panel: str) -> Learned:
    kept = [step for step in steps if step.panel != panel]
    robust = fit.robust[[step.panel != panel for step in steps]]
    layout = laid_out(kept, frozenset(learned.scattering_dyes), learned.coat_scatter, learned.um_per_coat, learned.n)
    # Unknowns of the two layouts agree: `_supported` has seen to it that nothing rests on this panel alone.
    films = [fit.layout.films.index(film) for film in layout.films]
    traps = [fit.layout.traps.index(trap) for trap in layout.traps]
    again = fitted(layout, replace(fit.state, film=fit.state.film[films], log_trap=fit.state.log_trap[traps]), robust)
    return learned_from(kept, again, learned.wavelengths, learned.coat_scatter, learned.um_per_coat, ())


def _trial(step: PanelStep) -> Trial:
    return Trial(step.ground, step.shares, step.coats, step.shop, step.paint, step.film_um)


def _reading(learned: Learned, trial: Trial, geometry: str) -> Array:
    trap = learned.trapped(trial.ground, geometry)
    shares = learned.shares([trial.mix])[0]
    return predict_readings(learned, trial.ground.reading(geometry), shares, film_of(learned, trial)[0], geometry, trap)


def _judged(step: PanelStep, without: Learned, eye: Eye) -> _LeftOut:
    made = predicted(without, _trial(step), step.geometry, eye, without.covariance)
    error = float(ciede2000(made.lab, eye.lab(step.reading)))
    return _LeftOut(step.panel, step.paint, str(step.ground.kind), error, made.interval)


def _widened(found: list[_LeftOut]) -> Mapping[tuple[str, str], Widening]:
    """Return per class and kind of ground the factor at which intervals hold 95 % of the left-out readings.

    The sample's 95 % point is drawn toward 1 (the model's own word) by as much as ten panels count, and intervals are
    never narrowed by it: few panels cannot show that one was too careful.
    """
    groups: dict[tuple[str, str], list[_LeftOut]] = {}
    for each in found:
        groups.setdefault((each.paint, each.kind), []).append(each)
    result = {}
    for key, members in groups.items():
        panels = len({each.panel for each in members})
        if panels < _ENOUGH:
            continue
        ratio = np.sort([each.error / max(each.interval, 1e-9) for each in members])
        own = float(ratio[min(int(np.ceil(0.95 * (ratio.size + 1))) - 1, ratio.size - 1)])
        factor = np.exp(panels / (panels + 10.0) * np.log(max(own, 1e-3)))
        result[key] = Widening(float(max(factor, 1.0)), panels)
    return result
