"""The shop's own cups with printed columns or marks, its scale and its dropper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.amount import to_step
from sprayout_core.mix.bounds import positive, told
from sprayout_core.mix.pour import ONE_PERCENT, PourList, pour_list, targets
from sprayout_core.ratio import smallest_integers

__all__ = [
    "ColumnPour",
    "Dropper",
    "Drops",
    "MarkedCup",
    "PrintedColumn",
    "PrintedCup",
    "Scale",
    "drops_for",
    "pour_by_column",
    "pour_by_marks",
    "pour_by_scale",
]


@dataclass(frozen=True, slots=True)
class PrintedColumn:
    """A ratio column printed on a cup.

    parts   the ratio in the order it is filled: first to its mark, then to the next
    marks   the printed fill numbers with the whole they make, in millilitres (0 to the last mark)
    """

    parts: tuple[int, ...]
    marks: Mapping[str, Fraction]

    @property
    def name(self) -> str:
        """The column as printed, such as 5:2."""
        return ":".join(str(part) for part in self.parts)


@dataclass(frozen=True, slots=True)
class PrintedCup:
    """A cup with ratio columns; they are ratios by volume and follow the cup's own taper."""

    name: str
    columns: tuple[PrintedColumn, ...]


@dataclass(frozen=True, slots=True)
class MarkedCup:
    """A cup marked in millilitres from one step to its brim."""

    name: str
    step_ml: Fraction
    capacity_ml: Fraction


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale with the smallest step it shows, and the most it carries where known."""

    name: str
    resolution_g: Fraction
    capacity_g: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Dropper:
    """A dropper or bottle with the shop's own drop, found by weighing or measuring many drops."""

    name: str
    drop_ml: Fraction

    @classmethod
    def counted(cls, name: str, drops: int, ml: Fraction) -> Dropper:
        """Return a dropper from a count of drops and the volume they made; at least 20 drops."""
        if drops < 20:
            raise SprayoutError(f"{drops} drops are too few to tell the size of one", "Count 20 or more.", place=name)
        return cls(name, positive(ml, name) / drops)


@dataclass(frozen=True, slots=True)
class ColumnPour:
    """A mix on a printed column: the column, the fill number, what goes in first, next, and the whole."""

    column: str
    mark: str
    order: tuple[str, ...]
    total_ml: Fraction

    @property
    def sentence(self) -> str:
        """How to fill it, told in one breath."""
        first, *rest = self.order
        then = "".join(f", then {name} to the next {self.mark}" for name in rest)
        return f"The {self.column} column: {first} to its {self.mark}{then}."


@dataclass(frozen=True, slots=True)
class Drops:
    """A count of drops, what they really make, and how far that is off as a share of what was wanted."""

    count: int
    ml: Fraction
    off: Fraction


def pour_by_column(cup: PrintedCup, parts: Mapping[str, Fraction], at_least_ml: Fraction) -> ColumnPour:
    """Return the column whose printed ratio is exactly the mix, and its lowest mark that makes enough.

    Parts are by volume; a column says in which order it is filled. Raises SprayoutError when no column
    is that ratio (a near one would be another mix) and when the cup is too small.
    """
    ratio = smallest_integers(parts)
    fitting = [
        (column, order) for column in cup.columns if (order := _order_on(column, ratio)) is not None and column.marks
    ]
    if not fitting:
        printed = ", ".join(column.name for column in cup.columns) or "none"
        raise SprayoutError(
            f"no column of the cup is {':'.join(str(part) for part in ratio.values())}; it has {printed}",
            "Use marks in ml or the scale.",
            place=cup.name,
        )
    enough = [
        (whole, mark, column, order)
        for column, order in fitting
        for mark, whole in column.marks.items()
        if whole >= positive(at_least_ml, "amount")
    ]
    if not enough:
        most = max(whole for column, _ in fitting for whole in column.marks.values())
        raise SprayoutError(
            f"{told(at_least_ml)} ml is wanted and its column ends at {told(most)} ml",
            "Take a larger cup or pour two.",
            place=cup.name,
        )
    whole, mark, column, order = min(enough, key=lambda found: found[0])
    return ColumnPour(column.name, mark, order, whole)


def pour_by_marks(
    cup: MarkedCup, parts: Mapping[str, Fraction], at_least_ml: Fraction, order: Sequence[str] = ()
) -> PourList:
    """Return the least total from at_least_ml up at which every reading falls on a mark of the cup.

    Parts are by volume. When no such total fits, the list for at_least_ml itself is returned, rounded to
    marks and with warnings; a total above the brim is refused.
    """
    ratio = smallest_integers(parts)
    _refuse_above(at_least_ml, cup.capacity_ml, "ml", cup.name)
    round_total = sum(ratio.values()) * positive(cup.step_ml, "step")
    total = -(-positive(at_least_ml, "amount") // round_total) * round_total
    if total > cup.capacity_ml:
        total = at_least_ml
    return pour_list(targets(parts, total), cup.step_ml, order=order)


def pour_by_scale(
    scale: Scale, grams: Mapping[str, Fraction], order: Sequence[str] = (), allowed: Fraction = ONE_PERCENT
) -> PourList:
    """Return the pour list for exact grams on a scale; more than it carries is refused."""
    if scale.capacity_g is not None:
        _refuse_above(sum(grams.values(), Fraction(0)), scale.capacity_g, "g", scale.name)
    return pour_list(grams, scale.resolution_g, order=order, allowed=allowed)


def drops_for(dropper: Dropper, ml: Fraction) -> Drops:
    """Return the nearest whole count of drops; less than half a drop is refused."""
    count = int(to_step(positive(ml, "amount") / positive(dropper.drop_ml, dropper.name), Fraction(1)))
    if not count:
        raise SprayoutError(
            f"{told(ml)} ml is less than half a drop of {told(dropper.drop_ml)} ml",
            "Make a larger batch, or thin it first and drop the thinned one.",
            place=dropper.name,
        )
    made = count * dropper.drop_ml
    return Drops(count, made, abs(made - ml) / ml)


def _order_on(column: PrintedColumn, ratio: Mapping[str, int]) -> tuple[str, ...] | None:
    """Return the components in the column's filling order, or None where its ratio is another."""
    if any(part <= 0 for part in column.parts):
        raise SprayoutError(f"the column {column.name} has a part of 0 or less", "Correct the cup.")
    printed = smallest_integers({str(place): Fraction(part) for place, part in enumerate(column.parts)})
    waiting = dict(ratio)
    order = []
    for part in printed.values():
        found = next((name for name, own in waiting.items() if own == part), None)
        if found is None:
            return None
        order.append(found)
        del waiting[found]
    return None if waiting else tuple(order)


def _refuse_above(amount: Fraction, capacity: Fraction, unit: str, place: str) -> None:
    if amount > positive(capacity, place):
        raise SprayoutError(
            f"{told(amount)} {unit} is more than its {told(capacity)} {unit}",
            "Take a larger one or pour two.",
            place=place,
        )
