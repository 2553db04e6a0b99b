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
Whole = NDArray[np.int64]

_WIDE = 12
_UNSEEN = 0.3
_SHOWN = 5


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
    learned: Learned,
    pot: Mapping[str, float],
    target: Target,
    means: Means,
    step: float | Mapping[str, float],
    room: float | None = None,
) -> tuple[PotCorrection, ...]:
    """Return additions to a pot that bring it nearer to a target, best first; nothing can be taken out.

    pot      amounts by volume of each dye and of "carrier" now in it, one unit
    means    dyes on hand, the ground (the first one counts) and the coats allowed
    step     smallest amount poured, of all or of each
    room     most that may be added in all; by default as much as the pot holds

    Additions of one or two components are tried in whole steps: first wide apart, then every step about the best.
    Ranked by predicted dE00 in steps of 0.1 (below 0.3, which nobody sees, all count as equal), then by how
    little is added; what is shown differs in what is added. Raises SprayoutError for unknown components, an empty
    pot or a step that is not positive.
    """
    names = (*means.dyes, CARRIER)
    unknown = [name for name in pot if name not in names]
    amounts = np.array([pot.get(name, 0.0) for name in names])
    steps = np.array([step[name] if isinstance(step, Mapping) else step for name in names], float)
    if unknown or not np.all(steps > 0) or np.any(amounts < 0) or not amounts[:-1].sum() > 0:
        problem = f"{unknown[0]!r} is not on hand" if unknown else "the pot holds no dye, or the step is not positive"
        raise SprayoutError(problem, "Name the dyes on hand; give amounts in one unit.", place="pot")
    room = float(amounts.sum()) if room is None else room
    if not np.isfinite(room) or room < 0 or not means.grounds or not means.coats:
        problem = "a pot needs a ground, a count of coats, and amounts and room that are numbers from 0 up"
        raise SprayoutError(problem, place="pot")
    eye = Eye.of(learned.wavelengths, target.view)

    def reached(counts: Whole) -> tuple[Array, Array]:
        return _reached(learned, target, means, amounts + counts * steps, eye)

    counts = _additions(steps, room)
    best, coats = reached(counts)
    for row in np.lexsort(((counts * steps).sum(axis=1), _ranked(best)))[:_WIDE]:
        near = _about(counts[row], steps, room)
        more, more_coats = reached(near)
        counts, best, coats = np.concatenate([counts, near]), np.append(best, more), np.append(coats, more_coats)
    before = float(best[0])
    told: list[tuple[frozenset[int], float, PotCorrection]] = []
    rank = _ranked(best)
    for row in np.lexsort(((counts * steps).sum(axis=1), rank)):
        kind = frozenset(np.flatnonzero(counts[row]).tolist())
        # One more component must bring it nearer, else it is the same advice with more to pour.
        if any(other <= kind and reach <= rank[row] for other, reach, _ in told):
            continue
        one = _told(
            names, amounts, counts[row] * steps, means.grounds[0].name, int(coats[row]), before, float(best[row])
        )
        told.append((kind, float(rank[row]), one))
        if len(told) == _SHOWN:
            break
    return tuple(one for _, _, one in told)


def _ranked(differences: Array) -> Array:
    """Return differences in steps of 0.1; below what anybody sees they count as equal."""
    return np.asarray(np.round(np.maximum(differences, _UNSEEN), 1), float)


def _reached(learned: Learned, target: Target, means: Means, pots: Array, eye: Eye) -> tuple[Array, Array]:
    """Return the least predicted dE00 of each pot, and the coats it takes, (m,) each."""
    mix = np.zeros((len(pots), len(learned.dyes)))
    mix[:, [learned.row(dye) for dye in means.dyes]] = shares_of(pots, means)
    film = learned.of_film(means.shop).value
    gaps = np.stack(
        [
            distances(learned, target, mix, means.grounds[0], np.full(len(mix), count * film), eye)
            for count in means.coats
        ],
        axis=1,
    )
    return gaps.min(axis=1), np.array(means.coats)[gaps.argmin(axis=1)]


def _additions(steps: Array, room: float) -> Whole:
    """Return whole steps added of one or two components, nothing first, ever wider apart, (m, components)."""
    ladders = [_ladder(int(room / step + 1e-9)) for step in steps]
    rows = [np.zeros(len(steps), dtype=np.int64)]
    own = np.eye(len(steps), dtype=np.int64)
    for one, counts in enumerate(ladders):
        rows += [own[one] * count for count in counts]
    for one, two in combinations(range(len(steps)), 2):
        rows += [own[one] * first + own[two] * second for first, second in product(ladders[one], ladders[two])]
    table = np.array(rows)
    return np.asarray(table[(table * steps).sum(axis=1) <= room + 1e-9], np.int64)


def _ladder(most: int) -> list[int]:
    """Return counts of steps from 1 to `most`, every one while they are few, then ever wider apart."""
    if most < 1:
        return []
    wide = np.geomspace(1, most, min(most, 24))
    return sorted({round(float(count)) for count in wide})


def _about(counts: Whole, steps: Array, room: float) -> Whole:
    """Return every whole step about an addition, within a tenth of it, of what it adds already, (m, components)."""
    spans = []
    for count in counts:
        reach = min(max(int(count) // 10, 1), 12) if count else 0
        spans.append(range(max(int(count) - reach, 0), int(count) + reach + 1))
    table = np.array(list(product(*spans)), dtype=np.int64)
    return np.asarray(table[(table * steps).sum(axis=1) <= room + 1e-9], np.int64)


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
