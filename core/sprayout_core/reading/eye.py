"""By eye: how far people agree on an order, and an order with a measured value, and where they part."""

from __future__ import annotations

import itertools
import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from sprayout_core.reading.errors import RepeatsError

__all__ = ["Apart", "Concordance", "Correlation", "kendall_w", "orders_part", "ranks", "ranks_of_values", "spearman"]

Piece = TypeVar("Piece", bound=Hashable)

#: Up to so many arrangements every one is looked at; beyond, a formula for large numbers stands in.
_ARRANGEMENTS = 6000


@dataclass(frozen=True, slots=True)
class Concordance:
    """How far several people agree on one order.

    w        Kendall's coefficient of concordance, 0 (none) to 1 (the same order)
    people   how many people
    pieces   how many pieces all of them ordered
    chance   how often orders drawn at random agree as well or better
    exact    yes where every arrangement was looked at, no where chance is an approximation
    """

    w: float
    people: int
    pieces: int
    chance: float
    exact: str


@dataclass(frozen=True, slots=True)
class Correlation:
    """How far an order follows a measured value: Spearman's rho, -1 to 1, and its two-sided chance."""

    rho: float
    pieces: int
    chance: float
    exact: str


@dataclass(frozen=True, slots=True)
class Apart(Generic[Piece]):
    """Two pieces on which two orders part: the first has `first` before `second`, the other the reverse.

    gap   how many ranks apart the two orders put them, taken together
    """

    first: Piece
    second: Piece
    gap: float


def ranks(order: Sequence[Sequence[Piece]]) -> dict[Piece, float]:
    """Return the rank of each piece, 1 for the first; pieces that look the same share the mean of their ranks.

    order   pieces in order, those that look the same together
    """
    found: dict[Piece, float] = {}
    before = 0
    for tied in order:
        for piece in tied:
            found[piece] = before + (len(tied) + 1) / 2
        before += len(tied)
    return found


def ranks_of_values(values: Mapping[Piece, float]) -> dict[Piece, float]:
    """Return the rank of each piece by its value, 1 for the largest; equal values share the mean of their ranks."""
    by_value: dict[float, list[Piece]] = {}
    for piece, value in values.items():
        if not math.isfinite(value):
            raise RepeatsError(f"{value} is no value to rank by", "Leave that piece out.", place=str(piece))
        by_value.setdefault(value, []).append(piece)
    return ranks([by_value[value] for value in sorted(by_value, reverse=True)])


def kendall_w(orders: Sequence[Sequence[float]]) -> Concordance:
    """Return how far people agree, from the ranks each gave to the same pieces in the same places.

    orders   ranks by person, ties sharing their mean rank          (people, pieces)
    raises   RepeatsError for fewer than two people or three pieces, for lengths that differ, and where
             everybody saw all pieces as the same

    W = 12 S / (m^2 (n^3 - n) - m T), S the squared deviations of the rank sums, T the sum of t^3 - t over all
    ties (M. G. Kendall and B. Babington Smith, The problem of m rankings, 1939; with ties: Kendall, Rank
    Correlation Methods). Chance: over all arrangements of the ranks given where they are few, else chi square
    with n - 1 degrees of freedom of m (n - 1) W, which is rough below seven pieces.
    """
    people, pieces = len(orders), len(orders[0]) if orders else 0
    if people < 2 or pieces < 3:
        raise RepeatsError(
            f"{people} orders of {pieces} pieces", "Two people and three pieces are the least.", place="orders"
        )
    if any(len(order) != pieces for order in orders):
        raise RepeatsError("orders of different pieces", "Give the ranks of the pieces all have.", place="orders")
    ties = sum(_ties(order) for order in orders)
    whole = people**2 * (pieces**3 - pieces) - people * ties
    if whole <= 0:
        raise RepeatsError("everybody saw all pieces as the same", "There is no order to agree on.", place="orders")
    squared = _squared(orders)
    w = min(1.0, 12 * squared / whole)
    if math.factorial(pieces) ** (people - 1) <= _ARRANGEMENTS:
        return Concordance(w, people, pieces, _share_at_least(orders, squared), "yes")
    return Concordance(w, people, pieces, _chi_square_tail(people * (pieces - 1) * w, pieces - 1), "no")


def _ties(order: Sequence[float]) -> float:
    counts = (list(order).count(rank) for rank in set(order))
    return math.fsum(count * count * count - count for count in counts)


def _squared(orders: Sequence[Sequence[float]]) -> float:
    sums = [sum(column) for column in zip(*orders, strict=True)]
    mean = sum(sums) / len(sums)
    return math.fsum((one - mean) * (one - mean) for one in sums)


def _share_at_least(orders: Sequence[Sequence[float]], squared: float) -> float:
    """Return the share of arrangements with as much agreement; the first person's order may stay as it is."""
    first, *others = orders
    ways = [list(itertools.permutations(order)) for order in others]
    found = [_squared([first, *arranged]) for arranged in itertools.product(*ways)]
    return sum(one >= squared - 1e-9 for one in found) / len(found)


def _chi_square_tail(value: float, freedom: int) -> float:
    """Return the upper tail of chi square for whole degrees of freedom (closed forms, by parts)."""
    half = value / 2
    if freedom % 2 == 0:
        term = total = math.exp(-half)
        for place in range(1, freedom // 2):
            term *= half / place
            total += term
        return min(1.0, total)
    total = math.erfc(math.sqrt(half))
    term = math.exp(-half) * math.sqrt(half) / math.gamma(1.5)
    for place in range(1, (freedom + 1) // 2):
        total += term
        term *= half / (place + 0.5)
    return min(1.0, total)


def spearman(first: Sequence[float], second: Sequence[float]) -> Correlation:
    """Return how far two rankings of the same pieces go together.

    first, second   ranks, ties sharing their mean rank           (pieces), (pieces)
    raises          RepeatsError for fewer than three pieces, and where one ranking holds ties only

    The product-moment correlation of the ranks (C. Spearman, The proof and measurement of association between
    two things, 1904). Chance is two-sided: over all arrangements up to seven pieces, else normal with variance
    1 / (n - 1).
    """
    pieces = len(first)
    if pieces < 3 or len(second) != pieces:
        raise RepeatsError(
            f"{pieces} and {len(second)} pieces", "Three pieces that both ranked are the least.", place="ranks"
        )
    rho = _correlation(first, second)
    if rho is None:
        raise RepeatsError("all pieces have the same rank", "There is no order to follow.", place="ranks")
    if math.factorial(pieces) <= _ARRANGEMENTS:
        found = [_correlation(first, arranged) or 0.0 for arranged in itertools.permutations(second)]
        share = sum(abs(one) >= abs(rho) - 1e-9 for one in found) / len(found)
        return Correlation(rho, pieces, share, "yes")
    return Correlation(rho, pieces, math.erfc(abs(rho) * math.sqrt((pieces - 1) / 2)), "no")


def _correlation(first: Sequence[float], second: Sequence[float]) -> float | None:
    ours, theirs = sum(first) / len(first), sum(second) / len(second)
    across = sum((x - ours) * (y - theirs) for x, y in zip(first, second, strict=True))
    spread = sum((x - ours) ** 2 for x in first) * sum((y - theirs) ** 2 for y in second)
    return None if spread <= 0 else max(-1.0, min(1.0, across / math.sqrt(spread)))


def orders_part(first: Mapping[Piece, float], second: Mapping[Piece, float]) -> list[Apart[Piece]]:
    """Return the pairs that two rankings put in opposite order, the widest apart first.

    first, second   rank by piece; pieces that only one of them has are left out
    """
    shared = [piece for piece in first if piece in second]
    found = []
    for one, other in itertools.combinations(shared, 2):
        ours, theirs = first[one] - first[other], second[one] - second[other]
        if ours * theirs < 0:
            before, after = (one, other) if ours < 0 else (other, one)
            found.append(Apart(before, after, abs(ours) + abs(theirs)))
    return sorted(found, key=lambda apart: -apart.gap)
