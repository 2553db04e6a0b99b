"""How much one coat more or less, or a heavier hand, moves a recipe; in numbers and in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.given import numbers
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.panel import Ground
from sprayout_core.film.prediction import D65_10, predict_readings
from sprayout_core.light import View

__all__ = ["Forgiveness", "compared", "forgiveness"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Forgiveness:
    """What moves a recipe at one coat count, dE00 at the worst angle.

    one_more, one_less   one whole coat; one_less is None at the first coat (the bare ground is no recipe)
    heavy, light         10 % more, 10 % less film over all coats
    """

    ground: str
    coats: float
    one_more: float
    one_less: float | None
    heavy: float
    light: float

    @property
    def words(self) -> str:
        """Say how forgiving this is."""
        worst = max(self.heavy, self.light)
        if worst < 0.5:
            hand = "forgiving: 10 % more or less film hardly shows"
        elif worst < 1.0:
            hand = "fairly forgiving: 10 % more or less film shows side by side"
        elif worst < 2.0:
            hand = "touchy: 10 % more or less film shows"
        else:
            hand = "very touchy: 10 % more or less film is plainly another colour"
        return f"{hand}; one coat more over {self.ground} moves it {self.one_more:.1f}"


def forgiveness(
    learned: Learned,
    ground: Ground,
    mix: Mapping[str, float],
    coats: ArrayLike,
    geometries: Sequence[str],
    view: View = D65_10,
) -> tuple[Forgiveness, ...]:
    """Return how forgiving a mix over a ground is at each coat count.

    mix          dry-film share of each dye
    coats        counts of coats, above 0                                       (k,)
    geometries   the worst of them counts
    """
    counts = np.atleast_1d(numbers(coats, "coats"))
    if not np.all((counts > 0) & np.isfinite(counts)):
        raise SprayoutError("forgiveness needs at least part of a coat", place="coats")
    if not geometries:
        raise SprayoutError("in which geometry?", "Name one that the ground was read in.", place="geometries")
    eye = Eye.of(learned.wavelengths, view)
    moved = np.stack([counts, counts + 1, np.maximum(counts - 1, 0), counts * 1.1, counts * 0.9], axis=-1)
    shares = learned.shares([mix])[0]
    if not (np.all(shares >= 0) and 0 < shares.sum() <= 1 + 1e-9):
        raise SprayoutError("shares of the dry film must not be negative and sum to at most 1", place="mix")
    worst = np.zeros((counts.size, 4))
    for each in geometries:
        name = geometry_of(each).name
        trap = learned.trapped(ground, name)
        readings = predict_readings(
            learned, ground.reading(name), np.broadcast_to(shares, (*moved.shape, shares.size)), moved, name, trap
        )
        colours = eye.lab(readings)
        worst = np.maximum(worst, np.asarray(ciede2000(colours[:, :1], colours[:, 1:])))
    return tuple(
        Forgiveness(
            ground.name, float(count), float(row[0]), float(row[1]) if count > 1 else None, float(row[2]), float(row[3])
        )
        for count, row in zip(counts, worst, strict=True)
    )


def compared(one: Forgiveness, other: Forgiveness) -> str:
    """Say in words how a coat counts over one ground beside another."""
    ratio = one.one_more / max(other.one_more, 1e-9)
    which = f"the coat after coat {one.coats:g} over {one.ground} moves it"
    if 0.85 <= ratio <= 1.18:
        return f"{which} as much as over {other.ground}"
    for bound, words in ((0.4, "a third as much as"), (0.6, "half as much as"), (0.85, "less than")):
        if ratio < bound:
            return f"{which} {words} over {other.ground}"
    return f"{which} more than over {other.ground}" if ratio < 1.7 else f"{which} twice as much as over {other.ground}"
