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
    panels = [panel for panel in dict.fromkeys(step.panel for step in steps) if _supported(steps, learned, panel)]
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


def _supported(steps: Sequence[PanelStep], learned: Learned, panel: str) -> bool:
    """Say whether all dyes, the ground and the shop of a panel are known from other panels too."""
    if panel in {suspect.panel for suspect in learned.suspects}:
        return False
    own = [step for step in steps if step.panel == panel]
    others = [step for step in steps if step.panel != panel]
    dyes = {dye for step in own for dye, share in step.shares.items() if share > 0}
    metals = {(s.ground.name, s.geometry) for s in own if s.ground.kind is GroundKind.METALLIC}
    known = {dye for step in others for dye, share in step.shares.items() if share > 0}
    hazy = {
        dye
        for dye in dyes & set(learned.scattering_dyes)
        if len({s.ground.name for s in others if s.shares.get(dye, 0) > 0}) < 2
    }
    # The first shop is the measure of all film: leaving a panel out must not make another one first.
    same_shops = list(dict.fromkeys(s.shop for s in others)) == list(dict.fromkeys(s.shop for s in steps))
    return dyes <= known and not hazy and same_shops and metals <= {(s.ground.name, s.geometry) for s in others}


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
