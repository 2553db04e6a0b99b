"""Finding the ratio, the ground and the coats that reach a colour: every pourable candidate is tried."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.forgiveness import Forgiveness, forgiveness
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.panel import Ground
from sprayout_core.film.prediction import Prediction, Trial, predict_readings, predicted
from sprayout_core.film.target import Grade, Target

__all__ = ["CARRIER", "Means", "Proposal", "pourable", "search", "shares_of"]

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

CARRIER = "carrier"
_REFINED = 50
_SHOWN = 5


@dataclass(frozen=True, slots=True, eq=False)
class Means:
    """What is on hand: dyes, grounds, coats allowed, how fine a ratio may be, solids where known.

    parts       most parts in all, carrier included
    together    most dyes in one mix
    solids      volume solids of every dye and of the carrier, or none at all: then they are taken equal
    """

    dyes: tuple[str, ...]
    grounds: tuple[Ground, ...]
    coats: tuple[int, ...] = (1, 2, 3, 4, 5, 6, 7, 8)
    parts: int = 12
    together: int = 4
    solids: Mapping[str, float] = field(default_factory=dict)
    shop: str = ""
    paint: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Proposal:
    """One way to the target.

    parts         whole parts of each dye and of the carrier
    difference    predicted dE00 to the target at the worst angle
    expected      root mean square dE00 of a sprayed panel at the worst angle, all uncertainties in
    angle         the worst angle
    reasons       why it stands where it stands, in words
    """

    parts: Mapping[str, int]
    mix: Mapping[str, float]
    ground: Ground
    coats: int
    difference: float
    expected: float
    angle: str
    predictions: tuple[Prediction, ...]
    forgiveness: Forgiveness
    reasons: tuple[str, ...]


def search(learned: Learned, target: Target, means: Means, shown: int = _SHOWN) -> tuple[Proposal, ...]:
    """Return ways to a target, best first, each really different from those before it.

    Every ratio of whole parts, ground and count of coats on hand is predicted (brute force is the answer, not a
    start for one); the best fifty are judged with their uncertainties and ranked by expected dE00 at the worst
    angle (in steps of 0.1), then by forgiveness, then by the simplicity of the ratio. Raises SprayoutError
    where a dye is unknown, a ground has no reading in a geometry of the target, or nothing is on hand.
    """
    if not means.dyes or not means.grounds or not means.coats or min(means.coats) < 1:
        raise SprayoutError("a search needs a dye, a ground and a count of coats from 1 up", place="means")
    if means.parts < 1 or means.together < 1:
        raise SprayoutError("a mix has at least one part and one dye", place="means")
    for dye in means.dyes:
        learned.row(dye)
    parts = pourable(len(means.dyes), means.parts, means.together)
    shares = shares_of(parts, means)
    eye = Eye.of(learned.wavelengths, target.view)
    found = _nearest(learned, target, means, shares, eye)
    judged = [_judged(learned, target, means, parts[row], shares[row], g, coats, eye) for row, g, coats in found]
    judged.sort(key=lambda each: (round(each.expected, 1), round(each.forgiveness.heavy, 1), sum(each.parts.values())))
    return tuple(_different(judged, shown))


def shares_of(parts: NDArray[np.int64] | Array, means: Means) -> Array:
    """Return the dry-film share of each of `means.dyes` for rows of parts, carrier last: (m, dyes + 1) -> (m, dyes)."""
    names = (*means.dyes, CARRIER)
    if len(set(names)) < len(names):
        raise SprayoutError("a dye stands twice among those on hand", "Name each once.", place="means")
    missing = [name for name in names if means.solids and name not in means.solids]
    if missing:
        raise SprayoutError(
            f"volume solids of {', '.join(missing)} are not given beside the others",
            "Give those of every dye and of the carrier, or of none: then they are taken equal.",
            place="solids",
        )
    solids = np.array([means.solids.get(name, 1.0) for name in names])
    if means.solids and not np.all((solids >= 0) & np.isfinite(solids)):
        raise SprayoutError("volume solids must not be negative", place="solids")
    dry = parts * solids
    total = dry.sum(axis=1, keepdims=True)
    if not np.all(total > 0):
        raise SprayoutError("a mix without any solids leaves no film", place="solids")
    return np.asarray((dry / total)[:, :-1], float)


@lru_cache(maxsize=16)
def pourable(dyes: int, parts: int, together: int) -> Whole:
    """Return every ratio of whole parts once: rows of dye parts and carrier, in lowest terms, (m, dyes + 1)."""
    rows = []
    for count in range(1, min(dyes, together) + 1):
        for chosen in combinations(range(dyes), count):
            for amounts in _amounts(count, parts):
                row = np.zeros(dyes + 1, dtype=np.int64)
                row[list(chosen)] = amounts[:-1]
                row[-1] = amounts[-1]
                rows.append(row)
    table = np.array(rows)
    table = np.asarray(table[np.gcd.reduce(table, axis=1) == 1], np.int64)
    table.setflags(write=False)
    return table


def _amounts(count: int, most: int) -> Iterator[tuple[int, ...]]:
    """Yield positive amounts of `count` dyes and an amount of carrier from 0 that together stay within `most`."""
    if count == 0:
        for carrier in range(most + 1):
            yield (carrier,)
        return
    for amount in range(1, most - (count - 1) + 1):
        for rest in _amounts(count - 1, most - amount):
            yield (amount, *rest)


def _nearest(learned: Learned, target: Target, means: Means, shares: Array, eye: Eye) -> list[tuple[int, Ground, int]]:
    """Return row, ground and coats of the candidates nearest the target, over all of them."""
    full = np.zeros((len(shares), len(learned.dyes)))
    full[:, [learned.row(dye) for dye in means.dyes]] = shares
    film = learned.of_film(means.shop).value
    cells = [(ground, coats) for ground in means.grounds for coats in means.coats]
    distance = np.empty((len(cells), len(shares)))
    for place, (ground, coats) in enumerate(cells):
        distance[place] = distances(learned, target, full, ground, np.full(len(shares), coats * film), eye)
    order = np.argsort(distance, axis=None)[:_REFINED] if distance.size <= 4096 else _smallest(distance)
    return [(int(at % len(shares)), *cells[at // len(shares)]) for at in order]


def _smallest(distance: Array) -> Whole:
    first = np.argpartition(distance, _REFINED, axis=None)[:_REFINED]
    return np.asarray(first[np.argsort(distance.ravel()[first])], np.int64)


def distances(learned: Learned, target: Target, mix: Array, ground: Ground, coats: Array, eye: Eye) -> Array:
    """Return predicted dE00 to the target at its worst angle, for rows of mixes and coats over one ground, (m,)."""
    worst = np.zeros(len(mix))
    for geometry, colour in target.colours.items():
        trap = learned.trapped(ground, geometry)
        readings = predict_readings(learned, ground.reading(geometry)[None], mix, coats, geometry, trap)
        worst = np.maximum(worst, np.asarray(ciede2000(colour, eye.lab(readings))))
    return worst


def _judged(
    learned: Learned, target: Target, means: Means, parts: Whole, shares: Array, ground: Ground, coats: int, eye: Eye
) -> Proposal:
    mix = {dye: float(share) for dye, share in zip(means.dyes, shares, strict=True) if share > 0}
    names = (*means.dyes, CARRIER)
    poured = {name: int(amount) for name, amount in zip(names, parts, strict=True) if amount > 0}
    trial = Trial(ground, mix, coats, means.shop, means.paint)
    made = tuple(predicted(learned, trial, g, eye, learned.covariance) for g in target.colours)
    gaps = [float(ciede2000(target.colours[each.geometry], each.lab)) for each in made]
    expected = [float(np.hypot(gap, each.expected)) for gap, each in zip(gaps, made, strict=True)]
    worst = int(np.argmax(expected))
    film = coats * learned.of_film(means.shop).value
    moves = forgiveness(learned, ground, mix, film, list(target.colours), target.view)[0]
    return Proposal(
        poured, mix, ground, coats, max(gaps), expected[worst], made[worst].geometry, made, moves,
        _reasons(target, means, made, max(gaps), expected[worst], made[worst].geometry, moves),
    )  # fmt: skip


def _reasons(
    target: Target,
    means: Means,
    made: Sequence[Prediction],
    gap: float,
    expected: float,
    angle: str,
    moves: Forgiveness,
) -> tuple[str, ...]:
    reasons = [
        f"predicted {gap:.1f} from the target; a sprayed panel is expected {expected:.1f} off at {angle}",
        moves.words,
    ]
    if target.grade is not Grade.SPECTRUM:
        reasons.append(f"the target is a {target.grade}: itself uncertain by about {target.grade.uncertainty:g}")
    if not means.solids:
        reasons.append("volume solids are not known and were taken equal")
    return (*reasons, *dict.fromkeys(note for each in made for note in each.notes))


def _different(judged: Sequence[Proposal], shown: int) -> Iterator[Proposal]:
    """Yield proposals that differ in ground, in dyes, or by two coats or more: not in the third decimal."""
    kept: list[Proposal] = []
    for each in judged:
        near = (
            other.ground.name == each.ground.name
            and set(other.mix) == set(each.mix)
            and abs(other.coats - each.coats) < 2
            for other in kept
        )
        if not any(near):
            kept.append(each)
            yield each
        if len(kept) == shown:
            return
