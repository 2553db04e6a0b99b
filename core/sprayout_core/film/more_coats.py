"""What further coats would do, and what counted coats teach: a shop's film, and the coats other shops needed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.coats import CoatCount, StepCard
from sprayout_core.film.colour import Eye
from sprayout_core.film.knowledge import Estimate
from sprayout_core.film.prediction import D65_10
from sprayout_core.light import View

__all__ = ["NextCoats", "film_factor", "more_coats", "more_coats_seen", "needed"]

Array = NDArray[np.float64]

_FURTHER = 4  # none to three more coats


@dataclass(frozen=True, slots=True)
class NextCoats:
    """What further coats would do: how many come nearest to the standard, and what each leaves, dE00.

    wanted      coats of the standard
    heavy       film of one of this shop's coats against one of the standard's, less 1
    best        how many more
    remaining   at the worst angle, with none, one, two, three more
    where       the worst angle, as a person says it; "" where there is only one
    """

    wanted: float
    heavy: float
    best: int
    remaining: tuple[float, ...]
    where: str = ""

    @property
    def words(self) -> str:
        """Say it in one sentence."""
        lead = ""
        if abs(self.heavy) >= 0.05:
            lead = f"your coats are about {abs(100 * self.heavy):.0f} % {'heavy' if self.heavy > 0 else 'light'}; "
        left = f"{max(self.remaining[self.best], 0.1):.1f}{' ' + self.where if self.where else ''}"
        if self.best == 0:
            return f"{lead}leave it: {left} from the standard, and one more coat takes it away"
        more = "one more medium coat lands" if self.best == 1 else f"{self.best} more medium coats land"
        return f"{lead}{more} within {left}"


def more_coats(
    card: StepCard, count: CoatCount, counted: float, wanted: float, wavelengths: ArrayLike, view: View = D65_10
) -> NextCoats:
    """Return what one, two, three more coats of this shop would leave to the standard.

    card      with bands of a meter at these wavelengths
    counted   coats this shop has laid so far, above 0
    wanted    coats of the standard
    """
    return more_coats_seen({"": card}, count, counted, wanted, Eye.of(np.asarray(wavelengths, float), view).lab)


def more_coats_seen(
    cards: Mapping[str, StepCard],
    count: CoatCount,
    counted: float,
    wanted: float,
    lab: Callable[[Array], ArrayLike],
) -> NextCoats:
    """Return the same, judged at the worst of several angles.

    cards     by the angle's name as a person says it ("at the face"): bands of a meter, or X, Y, Z
    lab       turns channels of a card into L*a*b*, (..., m) -> (..., 3)
    """
    if not counted > 0 or not wanted > 0:
        raise SprayoutError("coats laid and coats wanted must be above 0", place="coats")
    factor = count.coats / counted
    names = list(cards)
    left = np.zeros((len(names), _FURTHER))
    for place, name in enumerate(names):
        steps = np.asarray(lab(cards[name].at(count.coats + factor * np.arange(_FURTHER))))
        left[place] = ciede2000(np.asarray(lab(cards[name].at(wanted))), steps)
    worst = left.max(axis=0)
    best = int(np.argmin(worst))
    where = names[int(np.argmax(left[:, best]))]
    return NextCoats(wanted, factor - 1.0, best, tuple(float(each) for each in worst), where)


def film_factor(answers: Sequence[tuple[CoatCount, float]]) -> Estimate:
    """Return a shop's film per counted coat against the standard's, from answers and the coats it had counted.

    Each answer weighs by its own interval; the spread between answers is part of the uncertainty.
    """
    if not answers:
        raise SprayoutError("no answer to learn a film factor from", place="film factor")
    ratio = np.array([count.coats / counted for count, counted in answers])
    width = np.array([max((count.high - count.low) / 3.92 / counted, 1e-3) for count, counted in answers])
    weight = 1.0 / width**2
    mean = float(np.sum(weight * ratio) / weight.sum())
    own = float(1.0 / weight.sum())
    spread = float(np.sum(weight * (ratio - mean) ** 2) / weight.sum()) / max(ratio.size - 1, 1)
    return Estimate(mean, float(np.sqrt(max(own, spread))))


def needed(written: float, factors: Sequence[Estimate]) -> Estimate:
    """Return the coats other shops need where a recipe says `written`: "written 4, other shops needed 3.4 +- 0.5"."""
    if not factors:
        raise SprayoutError("no other shop has reported yet", place="film factor")
    counts = np.array([written / factor.value for factor in factors])
    own = np.array([written * factor.uncertainty / factor.value**2 for factor in factors])
    spread = float(np.var(counts, ddof=1)) if counts.size > 1 else 0.0
    return Estimate(float(counts.mean()), float(np.sqrt(spread + np.mean(own**2))))
