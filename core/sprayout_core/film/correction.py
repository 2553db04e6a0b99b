"""Correcting what was sprayed: a recipe from its panel, a pot by adding only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.learn import learn_quickly
from sprayout_core.film.panel import PanelStep
from sprayout_core.film.search import CARRIER, Means, Proposal, distances, search, shares_of
from sprayout_core.film.target import Target

__all__ = ["PotCorrection", "correct_pot", "correct_recipe"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class PotCorrection:
    """Additions that bring a pot nearer to a target.

    additions    in the pot's own unit, only what is added
    coats        to spray it in
    difference   predicted dE00 to the target at the worst angle, before and after
    """

    additions: Mapping[str, float]
    pot: Mapping[str, float]
    ground: str
    coats: int
    before: float
    difference: float
    words: str


def correct_recipe(
    learned: Learned,
    panels: Sequence[PanelStep],
    sprayed: Sequence[PanelStep],
    target: Target,
    means: Means,
    shown: int = 5,
) -> tuple[Learned, tuple[Proposal, ...]]:
    """Return what a sprayed panel adds to what was known, and the recipes that now reach the target.

    panels    everything `learned` was learned from
    sprayed   the readings of the panel against its standard

    The panel's own film is as unsure as its coats; what remains of its difference is laid to dyes and ground.
    """
    if not sprayed:
        raise SprayoutError("a correction needs the reading of the sprayed panel", place="sprayed")
    again = learn_quickly(
        [*panels, *sprayed], learned.wavelengths, learned.scattering_dyes, learned.coat_scatter, learned.n, learned
    )
    return again, search(again, target, means, shown)


def correct_pot(
    learned: Learned, pot: Mapping[str, float], target: Target, means: Means, step: float, most: int = 12
) -> tuple[PotCorrection, ...]:
    """Return additions to a pot that bring it nearer to a target, best first; nothing can be taken out.

    pot      amounts of each dye and of "carrier" now in it, one unit
    means    dyes on hand, the ground (the first one counts) and the coats allowed
    step     smallest amount poured
    most     most steps of one component

    Every addition of one or two components is tried. Ranked by predicted dE00 in steps of 0.1, then by how
    little is added. Raises SprayoutError for unknown components, an empty pot or a step that is not positive.
    """
    names = (*means.dyes, CARRIER)
    unknown = [name for name in pot if name not in names]
    amounts = np.array([pot.get(name, 0.0) for name in names])
    if unknown or not step > 0 or np.any(amounts < 0) or not amounts[:-1].sum() > 0:
        problem = f"{unknown[0]!r} is not on hand" if unknown else "the pot holds no dye, or the step is not positive"
        raise SprayoutError(problem, "Name the dyes on hand; give amounts in one unit.", place="pot")
    added = step * _additions(len(names), most)
    shares = shares_of(amounts + added, means)
    mix = np.zeros((len(added), len(learned.dyes)))
    mix[:, [learned.row(dye) for dye in means.dyes]] = shares
    ground, film = means.grounds[0], learned.of_film(means.shop).value
    eye = Eye.of(learned.wavelengths, target.view)
    reached = np.stack(
        [distances(learned, target, mix, ground, np.full(len(mix), c * film), eye) for c in means.coats], axis=1
    )
    best, coats = reached.min(axis=1), np.array(means.coats)[reached.argmin(axis=1)]
    order = np.lexsort((added.sum(axis=1), np.round(best, 1)))
    before = float(best[0])
    return tuple(
        _told(names, amounts, added[row], ground.name, int(coats[row]), before, float(best[row])) for row in order[:5]
    )


def _additions(components: int, most: int) -> Array:
    """Return steps added of one or two components, nothing first, (m, components)."""
    rows = [np.zeros(components)]
    for one in range(components):
        for count in range(1, most + 1):
            rows.append(np.eye(components)[one] * count)
    for one, two in combinations(range(components), 2):
        for first, second in product(range(1, most + 1), repeat=2):
            rows.append(np.eye(components)[one] * first + np.eye(components)[two] * second)
    return np.array(rows)


def _told(
    names: tuple[str, ...], amounts: Array, added: Array, ground: str, coats: int, before: float, after: float
) -> PotCorrection:
    more = {name: float(amount) for name, amount in zip(names, added, strict=True) if amount > 0}
    pot = {name: float(amount) for name, amount in zip(names, amounts + added, strict=True) if amount > 0}
    if more:
        what = ", ".join(f"{amount:g} of {name}" for name, amount in more.items())
        words = f"add {what}; {coats} coats: {after:.1f} from the target instead of {before:.1f}"
    else:
        words = f"add nothing; {coats} coats: {after:.1f} from the target"
    return PotCorrection(more, pot, ground, coats, before, after, words)
