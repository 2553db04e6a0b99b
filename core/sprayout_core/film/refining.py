"""A recipe corrected where it stands: another body, another dye ratio, other coats, each in pourable parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import gcd

import numpy as np
from numpy.typing import NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.forgiveness import Forgiveness, forgiveness
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.panel import Ground
from sprayout_core.film.prediction import Prediction, Trial, predicted
from sprayout_core.film.search import Means, distances, pourable, shares_of
from sprayout_core.film.target import Target

__all__ = ["Change", "Refined", "Written", "refine"]

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

#: Most parts of a dye ratio, by how many dyes it has: beyond it nobody pours, and nobody waits.
_PARTS = {1: 1, 2: 24, 3: 16}
_FEWER = 12
#: A correction stays within this factor of what is written; further off it is another recipe.
_WITHIN = 3.0
_BODY = 24
#: Expected dE00 within this of the best counts as equal: the smaller change wins.
_SAME = 0.2


class Change(StrEnum):
    """What a correction changes; what is not named stays as written."""

    NOTHING = "as written"
    COATS = "other coats"
    BODY = "another body"
    DYES = "another dye ratio"
    BOTH = "another dye ratio and another body"
    ALL = "another dye ratio, another body, other coats"


@dataclass(frozen=True, slots=True)
class Written:
    """A recipe's mix as it stands: parts of each dye of the neat mix, carrier to neat mix, coats.

    dyes      whole parts per dye
    carrier   parts of carrier for `neat` parts of the dye mix; 0 where it is sprayed neat
    """

    dyes: Mapping[str, int]
    carrier: int
    neat: int
    coats: int


@dataclass(frozen=True, slots=True, eq=False)
class Refined:
    """One correction.

    change       what of the recipe it touches
    written      the corrected recipe
    difference   predicted dE00 to the target at the worst angle
    expected     root mean square dE00 of a sprayed panel at the worst angle, all uncertainties in
    angle        the worst angle
    """

    change: Change
    written: Written
    mix: Mapping[str, float]
    difference: float
    expected: float
    angle: str
    predictions: tuple[Prediction, ...]
    forgiveness: Forgiveness


def refine(learned: Learned, target: Target, written: Written, ground: Ground, means: Means) -> tuple[Refined, ...]:
    """Return the best correction of each kind, best first; the recipe as written stands among them.

    learned   with the panel that missed the target in it
    means     dyes on hand (those of the recipe and any others allowed), coats allowed, volume solids, the shop;
              its grounds and parts are not asked

    Every pourable dye ratio and body within a factor of three of what is written is predicted at every count of
    coats. Within a kind the nearest counts in steps of 0.1, then the simpler ratio. Kinds are ranked by expected
    dE00 in steps of 0.1 (all within 0.2 of the best count as equal), then by how little they change. Raises
    SprayoutError where nothing is written.
    """
    if not written.dyes or written.neat < 1 or written.coats < 1 or min(written.dyes.values()) < 1:
        raise SprayoutError("a correction needs a mix with dyes and a count of coats", place="recipe")
    neat, body = _neat_ratios(means.dyes, written), _bodies(written)
    eye = Eye.of(learned.wavelengths, target.view)
    film = learned.of_film(means.shop).value
    parts = np.concatenate([_poured(neat, one) for one in body])
    shares = np.zeros((len(parts), len(learned.dyes)))
    shares[:, [learned.row(dye) for dye in means.dyes]] = shares_of(parts, means)
    simple = np.concatenate([neat.sum(axis=1) + one.sum() for one in body]).astype(float)
    found: dict[Change, tuple[float, float, int, int]] = {}
    for coats in sorted({*means.coats, written.coats}):
        gaps = distances(learned, target, shares, ground, np.full(len(parts), coats * film), eye)
        for change, rows in _kinds(neat, body, written, coats).items():
            score = np.round(gaps[rows], 1)
            at = int(rows[np.lexsort((simple[rows], score))[0]])
            this = (float(np.round(gaps[at], 1)), float(simple[at]), at, coats)
            if change not in found or this < found[change]:
                found[change] = this
    told = []
    for change, (_, _, at, coats) in found.items():
        one = _written(neat[at % len(neat)], body[at // len(neat)], means.dyes, coats)
        told.append(_judged(learned, target, change, one, shares[at], ground, means, eye))
    order, best = list(Change), min(one.expected for one in told)
    behind = {one.change: max(round(one.expected - best - _SAME, 1), 0.0) for one in told}
    return tuple(sorted(told, key=lambda one: (behind[one.change], order.index(one.change))))


def _neat_ratios(dyes: Sequence[str], written: Written) -> Whole:
    """Return dye ratios in lowest terms near the one written, itself first, (m, dyes)."""
    own = np.array([written.dyes.get(dye, 0) for dye in dyes], dtype=np.int64)
    if sum(1 for dye in written.dyes if dye in dyes) != len(written.dyes):
        missing = next(dye for dye in written.dyes if dye not in dyes)
        raise SprayoutError(f"{missing!r} is not on hand", "Name every dye of the recipe.", place="means")
    own = own // np.gcd.reduce(own)
    most = max(_PARTS.get(len(dyes), _FEWER), 1)
    table = pourable(len(dyes), most, len(dyes))
    table = table[table[:, -1] == 0][:, :-1]
    share, written_share = table / table.sum(axis=1, keepdims=True), own / own.sum()
    has = written_share > 0
    near = np.all(
        (share[:, has] <= _WITHIN * written_share[has]) & (share[:, has] >= written_share[has] / _WITHIN), axis=1
    )
    # A dye that was not in the mix may come in as a shade, not take over.
    near &= np.all(share[:, ~has] <= 1 / _WITHIN, axis=1)
    kept = [row for row in table[near] if not np.array_equal(row, own)]
    return np.array([own, *kept], dtype=np.int64)


def _bodies(written: Written) -> Whole:
    """Return carrier and neat parts near the body written, itself first, (k, 2)."""
    common = gcd(written.carrier, written.neat)
    own = (written.carrier // common, written.neat // common)
    share = own[1] / sum(own)
    found = [own]
    for whole in range(1, _BODY + 1):
        for neat in range(1, whole + 1):
            one = (whole - neat, neat)
            if gcd(*one) == 1 and one != own and share / _WITHIN <= neat / whole <= min(share * _WITHIN, 1.0):
                found.append(one)
    return np.array(found, dtype=np.int64)


def _poured(neat: Whole, body: Whole) -> Array:
    """Return dye parts and carrier of every dye ratio in one body, (m, dyes + 1)."""
    dyes = neat / neat.sum(axis=1, keepdims=True) * body[1]
    return np.column_stack([dyes, np.full(len(neat), float(body[0]))])


def _kinds(neat: Whole, body: Whole, written: Written, coats: int) -> dict[Change, NDArray[np.int64]]:
    """Return the rows of each kind of change at a count of coats; row 0 of both tables is what is written."""
    rows = np.arange(len(neat) * len(body))
    same_dyes, same_body = rows % len(neat) == 0, rows // len(neat) == 0
    if coats != written.coats:
        kinds = {Change.COATS: same_dyes & same_body, Change.ALL: ~same_dyes | ~same_body}
    else:
        kinds = {
            Change.NOTHING: same_dyes & same_body,
            Change.BODY: same_dyes & ~same_body,
            Change.DYES: ~same_dyes & same_body,
            Change.BOTH: ~same_dyes & ~same_body,
        }
    return {change: rows[chosen] for change, chosen in kinds.items() if chosen.any()}


def _written(neat: Whole, body: Whole, dyes: Sequence[str], coats: int) -> Written:
    return Written(
        {dye: int(part) for dye, part in zip(dyes, neat, strict=True) if part}, int(body[0]), int(body[1]), coats
    )


def _judged(
    learned: Learned,
    target: Target,
    change: Change,
    one: Written,
    shares: Array,
    ground: Ground,
    means: Means,
    eye: Eye,
) -> Refined:
    mix = {dye: float(shares[learned.row(dye)]) for dye in one.dyes}
    trial = Trial(ground, mix, one.coats, means.shop, means.paint)
    made = tuple(predicted(learned, trial, at, eye, learned.covariance) for at in target.colours)
    gaps = [float(ciede2000(target.colours[each.geometry], each.lab)) for each in made]
    expected = [float(np.hypot(gap, each.expected)) for gap, each in zip(gaps, made, strict=True)]
    worst = int(np.argmax(expected))
    film = one.coats * learned.of_film(means.shop).value
    moves = forgiveness(learned, ground, mix, film, list(target.colours), target.view)[0]
    return Refined(change, one, mix, max(gaps), expected[worst], made[worst].geometry, made, moves)
