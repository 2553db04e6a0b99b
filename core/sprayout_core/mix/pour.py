"""The pour list: what to pour next, to which reading, through which strainer, what is too little."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.amount import to_step
from sprayout_core.mix.bounds import positive, share, told

__all__ = ["ONE_PERCENT", "Pour", "PourList", "pour_list", "targets"]

#: How far a poured component may be off, as a share of itself, before the list warns.
ONE_PERCENT = Fraction(1, 100)

#: How many batch sizes above the least one are tried before twice the least, which is always fine, is told.
_TRIES = 2000


@dataclass(frozen=True, slots=True)
class Pour:
    """One step of the list, in the unit of the list.

    exact     what belongs in
    pour      what the readings make of it: this reading less the one before
    reading   what the scale or the mark shows when it is in
    off       how far the pour is off, as a share of the component (0.04 is 4 %)
    strain_um the strainer's opening it goes through, None for none
    too_small whether half a step of the scale, or the rounding, is more of it than is allowed
    """

    name: str
    exact: Fraction
    pour: Fraction
    reading: Fraction
    off: Fraction
    too_small: bool
    strain_um: Fraction | None = None


@dataclass(frozen=True, slots=True)
class PourList:
    """The pours in order with the step of the scale or cup they were rounded to.

    smallest_fine  the least batch with nothing too small, in the same unit; equal to or below the
                   total when nothing is
    """

    pours: tuple[Pour, ...]
    step: Fraction
    total: Fraction
    smallest_fine: Fraction

    @property
    def warnings(self) -> tuple[str, ...]:
        """One sentence for each component that is too small, with the batch that would do."""
        return tuple(
            f"{pour.name}: {told(pour.exact)} is too little for steps of {told(self.step)} "
            f"(as poured {told(100 * pour.off, 1)} % off). "
            f"Make {told(self.smallest_fine)} or more, or thin it first."
            for pour in self.pours
            if pour.too_small
        )


def targets(parts: Mapping[str, Fraction], total: Fraction) -> dict[str, Fraction]:
    """Return how much of each part makes a total, in the total's unit and the parts' own basis."""
    if not parts:
        raise SprayoutError("the mix has no parts", "Write what goes in.")
    whole = sum((positive(part, name) for name, part in parts.items()), Fraction(0))
    return {name: Fraction(part) * positive(total, "total") / whole for name, part in parts.items()}


def pour_list(
    amounts: Mapping[str, Fraction],
    step: Fraction,
    *,
    order: Sequence[str] = (),
    strain_um: Mapping[str, Fraction] | None = None,
    allowed: Fraction = ONE_PERCENT,
) -> PourList:
    """Return the pours for exact amounts on a scale (or cup) that shows whole steps.

    The running total is rounded and each pour is the difference between two readings, so that the
    readings end on the total; rounding each item by itself would not. Half a step of the scale must
    be no more than `allowed` of each component: amount >= step / (2 x allowed).

    order      names to pour first; the rest follow as they stand in amounts
    strain_um  strainer opening for the components that go through one
    """
    amounts = {name: positive(amounts[name], name) for name in _ordered(amounts, order)}
    strain_um = _named(amounts, strain_um or {})
    pours = _pours(amounts, positive(step, "step"), share(allowed, "allowed"), strain_um)
    total = sum(amounts.values(), Fraction(0))
    return PourList(tuple(pours), step, pours[-1].reading, _smallest_fine(amounts, total, step, allowed))


def _ordered(amounts: Mapping[str, Fraction], order: Sequence[str]) -> list[str]:
    if not amounts:
        raise SprayoutError("there is nothing to pour", "Give at least one component.")
    for name in order:
        if name not in amounts:
            raise SprayoutError(f"{name!r} is not in the mix", f"Use: {', '.join(amounts)}.", place="order")
    return list(dict.fromkeys([*order, *amounts]))


def _named(amounts: Mapping[str, Fraction], strain_um: Mapping[str, Fraction]) -> Mapping[str, Fraction]:
    for name, opening in strain_um.items():
        if name not in amounts:
            raise SprayoutError(f"{name!r} is not in the mix", f"Use: {', '.join(amounts)}.", place="strain_um")
        positive(opening, f"strain_um/{name}")
    return strain_um


def _pours(
    amounts: Mapping[str, Fraction], step: Fraction, allowed: Fraction, strain_um: Mapping[str, Fraction]
) -> list[Pour]:
    pours, running, before = [], Fraction(0), Fraction(0)
    for name, amount in amounts.items():
        running += amount
        reading = to_step(running, step)
        off = abs(reading - before - amount) / amount
        too_small = off > allowed or step > 2 * allowed * amount
        pours.append(Pour(name, amount, reading - before, reading, off, too_small, strain_um.get(name)))
        before = reading
    return pours


def _smallest_fine(amounts: Mapping[str, Fraction], total: Fraction, step: Fraction, allowed: Fraction) -> Fraction:
    """Return the least whole-step batch in which no component is too small.

    Below step / (2 x allowed x smallest share) the scale cannot; from twice that on it always can, since a
    difference of two rounded readings is never more than a step off.
    """
    least = step * total / (2 * allowed * min(amounts.values()))
    first = -(-least // step)
    for count in range(first, min(first + _TRIES, 2 * first)):
        grown = {name: amount * count * step / total for name, amount in amounts.items()}
        if not any(pour.too_small for pour in _pours(grown, step, allowed, {})):
            return count * step
    return 2 * first * step
