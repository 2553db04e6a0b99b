"""A new bottle of a dye against the old lot: strength, hue, and the ratio that corrects it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.knowledge import Estimate, Learned
from sprayout_core.film.learning import COAT_SCATTER
from sprayout_core.film.model import film_reading, perceived
from sprayout_core.film.panel import PanelStep
from sprayout_core.film.prediction import D65_10
from sprayout_core.light import View

__all__ = ["BottleCheck", "corrected_parts", "new_bottle", "on_shelf"]

Array = NDArray[np.float64]

_READING = 0.3  # dE00 that two panels of one dye differ in hue alone, with film taken out


@dataclass(frozen=True, slots=True)
class BottleCheck:
    """What a new bottle does against the old lot.

    strength   of the new lot relative to the old, with its standard uncertainty
    hue        dE00 left once the strength is taken out, with its standard uncertainty
    distinguishable   whether strength or hue differ by more than twice their uncertainty
    """

    strength: Estimate
    hue: Estimate
    distinguishable: bool
    words: str


def new_bottle(
    learned: Learned, dye: str, new: Sequence[PanelStep], old: Sequence[PanelStep] = (), view: View = D65_10
) -> BottleCheck:
    """Return strength and hue of a new lot from one to three panels, two coats each.

    dye   its name in `learned`, which stands for the old lot
    new   panels of the new lot, neat or in one mix, under that name
    old   panels of the old lot sprayed beside them, if any: the same hand cancels then

    The strength is the factor on the dye's absorption that fits a panel best, at the film that its shop lays; the
    scatter of coats is the limit, and without panels of the old lot beside them what is not known of that film.
    """
    if not new:
        raise SprayoutError("no panel of the new bottle", "Spray one to three, two coats each.", place=f"dye {dye}")
    row = learned.row(dye)
    eye = Eye.of(learned.wavelengths, view)
    fresh = [_strength(learned, row, step, eye) for step in new]
    beside = [_strength(learned, row, step, eye) for step in old]
    factor, width = _mean([each[0] for each in fresh], new, learned)
    if beside:
        known, known_width = _mean([each[0] for each in beside], old, learned)
    else:
        films = [learned.of_film(step.shop) for step in new]
        hand = max(film.uncertainty / film.value for film in films)
        known, known_width = 1.0, float(np.hypot(learned.strength_uncertainty(row), hand))
    value = factor / known
    strength = Estimate(value, value * float(np.hypot(width / factor, known_width / known)))
    shift = np.mean([each[1] for each in fresh], axis=0)
    if beside:
        shift = shift - np.mean([each[1] for each in beside], axis=0)
    colour = fresh[0][2]
    hue = Estimate(float(ciede2000(colour, colour + shift)), _READING / float(np.sqrt(len(new))))
    told = _differs(strength, 1.0) or _differs(hue, 0.0)
    return BottleCheck(strength, hue, told, _words(strength, hue, shift))


def corrected_parts(parts: Mapping[str, float], dye: str, check: BottleCheck) -> dict[str, float]:
    """Return parts with the new lot in place of the old: less of a stronger dye; as they are if not distinguishable."""
    if dye not in parts:
        raise SprayoutError(f"{dye!r} is not in this mix", place="parts")
    if not check.distinguishable:
        return dict(parts)
    return {name: amount / check.strength.value if name == dye else amount for name, amount in parts.items()}


def on_shelf(parts: Mapping[str, float], strengths: Mapping[str, Estimate]) -> dict[str, Estimate]:
    """Return a recipe's parts in the bottles of one's own shelf; the shared recipe stays as it is.

    parts       as written, per material
    strengths   of the own bottle relative to the recipe's, where one was checked; others count as equal
    returns     parts to pour, each with the uncertainty its strength brings
    """
    same = Estimate(1.0, 0.0)
    result = {}
    for name, amount in parts.items():
        own = strengths.get(name, same)
        if not own.value > 0:
            raise SprayoutError("a strength must be above 0", "Check the bottle again.", place=f"dye {name}")
        result[name] = Estimate(amount / own.value, amount * own.uncertainty / own.value**2)
    return result


def _strength(learned: Learned, row: int, step: PanelStep, eye: Eye) -> tuple[float, Array, Array]:
    """Return the factor that fits a panel, the shift of L*, a*, b* it leaves, and the panel's colour."""
    shares = learned.shares([step.shares])[0] * step.coats * learned.of_film(step.shop).value
    if shares[row] <= 0:
        raise SprayoutError(
            f"it holds no {learned.dyes[row]}", "Name panels sprayed from this bottle.", place=step.place
        )
    rest = shares.copy()
    rest[row] = 0.0
    trap = learned.trapped(step.ground, step.geometry)
    base = step.ground.reading(step.geometry)
    seen = perceived(step.reading, step.geometry, learned.n)

    def made(factor: float) -> Array:
        film = rest.copy()
        film[row] = shares[row] * factor
        haze = film @ learned.scattering if learned.scattering_dyes else None
        return film_reading(base, film @ learned.absorption, haze, step.geometry, learned.n, trap)

    def cost(factor: float) -> float:
        return float(np.sum((perceived(made(factor), step.geometry, learned.n) - seen) ** 2))

    factor = _lowest(cost, 0.2, 5.0)
    return factor, eye.lab(step.reading) - eye.lab(made(factor)), eye.lab(step.reading)


def _lowest(cost: Callable[[float], float], low: float, high: float) -> float:
    """Return where a smooth function is lowest: golden section on a logarithmic scale (Kiefer 1953)."""
    ratio = 0.5 * (5.0**0.5 - 1.0)
    left, right = float(np.log(low)), float(np.log(high))
    one, two = right - ratio * (right - left), left + ratio * (right - left)
    at_one, at_two = cost(float(np.exp(one))), cost(float(np.exp(two)))
    for _ in range(32):  # to within 1e-6
        if at_one < at_two:
            right, two, at_two = two, one, at_one
            one = right - ratio * (right - left)
            at_one = cost(float(np.exp(one)))
        else:
            left, one, at_one = one, two, at_two
            two = left + ratio * (right - left)
            at_two = cost(float(np.exp(two)))
    return float(np.exp(0.5 * (left + right)))


def _mean(factors: list[float], steps: Sequence[PanelStep], learned: Learned) -> tuple[float, float]:
    """Return the mean factor and its uncertainty: each panel's film is as sure as its coats."""
    width = [learned.coat_scatter.get(s.paint, COAT_SCATTER) / np.sqrt(max(s.coats, 1.0)) for s in steps]
    return float(np.mean(factors)), float(np.sqrt(np.sum(np.square(width))) / len(width))


def _differs(found: Estimate, same: float) -> bool:
    """Say whether a number differs from what no difference would give, by twice its uncertainty or more."""
    return abs(found.value - same) >= 2.0 * found.uncertainty


def _words(strength: Estimate, hue: Estimate, shift: Array) -> str:
    said = []
    if _differs(strength, 1.0):
        more = "stronger" if strength.value > 1 else "weaker"
        said.append(
            f"{abs(100 * (strength.value - 1)):.0f} % {more} (give or take {200 * strength.uncertainty:.0f}): "
            f"pour {1 / strength.value:.2f} times as much"
        )
    if _differs(hue, 0.0):
        way = "warmer" if shift[2] > 0 else "cooler"
        said.append(f"another hue, {hue.value:.1f} {way}: no ratio takes that out")
    return "; ".join(said) or "not distinguishable from the old lot: pour as written"
