"""A new bottle of a dye against the old lot: strength, hue, and the ratio that corrects it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye, spread_along
from sprayout_core.film.knowledge import Estimate, Learned
from sprayout_core.film.learning import COAT_SCATTER
from sprayout_core.film.model import film_reading, perceived, slopes
from sprayout_core.film.panel import PanelStep
from sprayout_core.film.prediction import D65_10, Trial, model_spread, slope_rows, trap_width
from sprayout_core.light import View

__all__ = ["BottleCheck", "corrected_parts", "new_bottle", "on_shelf"]

Array = NDArray[np.float64]

_WEAKEST, _STRONGEST = 0.2, 5.0
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

    The strength is the factor on the dye's absorption that fits a panel best, at the film that its shop lays. The
    scatter of coats is the limit: in a mix a heavier coat looks like a stronger dye, the more so the less of the dye
    there is and the more alike the others are. Without panels of the old lot beside them, what is not known of that
    film, of the other dyes and of the ground counts too. Raises SprayoutError for a panel that holds none of the dye,
    and for one that the dye fits at no strength.
    """
    if not new:
        raise SprayoutError("no panel of the new bottle", "Spray one to three, two coats each.", place=f"dye {dye}")
    row = learned.row(dye)
    eye = Eye.of(learned.wavelengths, view)
    fresh = [_strength(learned, row, step, eye) for step in new]
    beside = [_strength(learned, row, step, eye) for step in old]
    value = float(np.mean([each.factor for each in fresh]))
    shift = np.mean([each.shift for each in fresh], axis=0)
    doubt = _of_mean([each.own for each in fresh])
    stray = _of_mean([each.stray for each in fresh])
    if beside:
        # The same hand, ground and other dyes: only what each panel has of its own is left.
        value /= float(np.mean([each.factor for each in beside]))
        shift = shift - np.mean([each.shift for each in beside], axis=0)
        doubt = float(np.hypot(doubt, _of_mean([each.own for each in beside])))
        stray = float(np.hypot(stray, _of_mean([each.stray for each in beside])))
    else:
        doubt = float(np.hypot(doubt, max(each.shared for each in fresh)))
    strength = Estimate(value, value * doubt)
    colour = fresh[0].colour
    hue = Estimate(float(ciede2000(colour, colour + shift)), float(np.hypot(_READING / np.sqrt(len(new)), stray)))
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


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """What one panel says of a dye's strength.

    factor   that fits it best
    shift    of L*, a*, b* that it leaves, (3,); colour its own, (3,)
    own      relative standard uncertainty of the factor: the panel's film, the reading, the model
    shared   what panels of one hand, mix and ground have in common: film factor, what was learned, trapping
    stray    dE00 that such errors leave beside the factor, root mean square
    """

    factor: float
    shift: Array
    colour: Array
    own: float
    shared: float
    stray: float


def _strength(learned: Learned, row: int, step: PanelStep, eye: Eye) -> _Found:
    """Return the factor that fits a panel, what it leaves, and how sure both are."""
    shares = learned.shares([step.shares])[0] * step.coats * learned.of_film(step.shop).value
    if shares[row] <= 0:
        raise SprayoutError(
            f"it holds no {learned.dyes[row]}", "Name panels sprayed from this bottle.", place=step.place
        )
    trap = learned.trapped(step.ground, step.geometry)
    base = step.ground.reading(step.geometry)
    seen = perceived(step.reading, step.geometry, learned.n)

    def film(factor: float) -> Array:
        laid = shares.copy()
        laid[row] *= factor
        return np.asarray(laid, float)

    def made(factor: float) -> Array:
        laid = film(factor)
        haze = laid @ learned.scattering if learned.scattering_dyes else None
        return film_reading(base, laid @ learned.absorption, haze, step.geometry, learned.n, trap)

    def cost(factor: float) -> float:
        return float(np.sum((perceived(made(factor), step.geometry, learned.n) - seen) ** 2))

    factor = _lowest(cost, _WEAKEST, _STRONGEST)
    if not _WEAKEST * 1.01 < factor < _STRONGEST / 1.01:
        raise SprayoutError(
            f"{learned.dyes[row]} fits this panel at no strength",
            "Was it sprayed from this bottle, over that ground, in so many coats?",
            place=step.place,
        )
    colour = eye.lab(step.reading)
    doubts = _doubts(learned, row, step, film(factor), eye)
    return _Found(factor, colour - eye.lab(made(factor)), colour, *doubts)


def _doubts(learned: Learned, row: int, step: PanelStep, film: Array, eye: Eye) -> tuple[float, float, float]:
    """Return own and shared uncertainty of a factor and what errors leave beside it: all to first order."""
    absorbed, scattered = film @ learned.absorption, film @ learned.scattering
    base, trap = step.ground.reading(step.geometry), learned.trapped(step.ground, step.geometry)
    haze = scattered[None] if scattered.any() else None
    model = slopes(base[None], absorbed[None], haze, step.geometry, learned.n, trap[None])
    by_film = model.absorbed[0] * absorbed + model.scattered[0] * scattered
    by_dye = film[row] * (model.absorbed[0] * learned.absorption[row] + model.scattered[0] * learned.scattering[row])
    # The factor answers to an error e of the perceived reading as (by_dye e) / (by_dye by_dye).
    answer = by_dye / max(float(by_dye @ by_dye), 1e-12)
    unit = np.eye(base.size)
    seen = perceived(step.reading, step.geometry, learned.n)
    scatter = learned.coat_scatter.get(step.paint, COAT_SCATTER) / np.sqrt(max(step.coats, 1.0))
    own = model_spread(learned, unit, seen) + scatter**2 * np.outer(by_film, by_film)
    trial = Trial(step.ground, step.shares, step.coats, step.shop, step.paint)
    rows = answer @ slope_rows(learned, trial, step.geometry, film, model, unit)
    hand = learned.of_film(step.shop)
    shared = float(rows @ learned.covariance @ rows) + (answer @ by_film * hand.uncertainty / hand.value) ** 2
    if (step.ground.name, step.geometry) not in learned.trappings:
        shared += float(answer @ (model.trap[0] * trap_width(learned, step.ground, step.geometry))) ** 2
    left = (eye.slope(step.reading) * (3.0 * seen**2)) @ (unit - np.outer(by_dye, answer))
    stray = spread_along(eye.lab(step.reading), left @ own @ left.T)
    return float(np.sqrt(answer @ own @ answer)), float(np.sqrt(shared)), float(np.sqrt(np.sum(stray)))


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


def _of_mean(widths: list[float]) -> float:
    """Return the uncertainty of a mean from those of its parts."""
    return float(np.sqrt(np.sum(np.square(widths))) / len(widths))


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
