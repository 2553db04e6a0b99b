"""What must be mixed today: nested mixes first, one shared mix summed over everything that asks for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import Span, positive

__all__ = ["MixNeed", "Wanted", "todays_need"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """So much of one mix, asked for by one recipe or job of the day."""

    mix: str
    amount: Span
    for_what: str


@dataclass(frozen=True, slots=True)
class MixNeed:
    """One mix to make: how much in all, what goes in, and who takes how much of it.

    All amounts are in the one unit that was asked in; components may be mixes made before it.
    """

    mix: str
    amount: Span
    components: Mapping[str, Span]
    taken_by: Mapping[str, Span]


def todays_need(mixes: Mapping[str, Mapping[str, Fraction]], wanted: Sequence[Wanted]) -> tuple[MixNeed, ...]:
    """Return every mix to make, in an order in which each stands after the mixes it takes.

    mixes   each mix's parts by component; a component that is itself a key of mixes is made first
    wanted  what is asked for; amounts and parts are of one measure, all by volume or all by mass

    Raises SprayoutError for a mix that is not known and for mixes that contain each other.
    """
    for want in wanted:
        if want.mix not in mixes:
            raise SprayoutError(f"no mix {want.mix!r} is known", "Give its parts.", place=want.for_what)
        positive(want.amount.high, want.for_what)
    order: list[str] = []
    for want in wanted:
        _visit(want.mix, mixes, order, ())
    taken: dict[str, dict[str, Span]] = {mix: {} for mix in order}
    for want in wanted:
        _take(taken[want.mix], want.for_what, want.amount)
    needs = []
    for mix in reversed(order):
        amount = _sum(taken[mix])
        components = _components(mix, mixes[mix], amount)
        for component, span in components.items():
            if component in mixes:
                _take(taken[component], mix, span)
        needs.append(MixNeed(mix, amount, components, taken[mix]))
    return tuple(reversed(needs))


def _visit(mix: str, mixes: Mapping[str, Mapping[str, Fraction]], order: list[str], path: tuple[str, ...]) -> None:
    if mix in path:
        circle = " > ".join((*path[path.index(mix) :], mix))
        raise SprayoutError(f"the mixes contain each other: {circle}", "Break the circle.", place=mix)
    if mix in order:
        return
    for component in mixes[mix]:
        if component in mixes:
            _visit(component, mixes, order, (*path, mix))
    order.append(mix)


def _take(taken: dict[str, Span], by: str, amount: Span) -> None:
    taken[by] = taken[by] + amount if by in taken else amount


def _sum(taken: Mapping[str, Span]) -> Span:
    total = Span.exactly(Fraction(0))
    for amount in taken.values():
        total = total + amount
    return total


def _components(mix: str, parts: Mapping[str, Fraction], amount: Span) -> dict[str, Span]:
    if not parts:
        raise SprayoutError("it has no parts", "Write what goes in.", place=mix)
    total = sum((positive(part, f"{mix}/{name}") for name, part in parts.items()), Fraction(0))
    return {name: amount.times(Fraction(part) / total) for name, part in parts.items()}
