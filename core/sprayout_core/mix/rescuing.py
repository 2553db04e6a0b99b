"""Too much of one in the cup: the least additions that bring the ratio back, and stretching a sound cup."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import positive, told, zero_or_more
from sprayout_core.mix.pour import targets

__all__ = ["Cure", "Rescue", "rescue", "stretch"]


class Cure(Enum):
    """Whether hardener is in the cup; said by whoever poured, never guessed."""

    NOT_BEGUN = "no hardener is in it"
    BEGUN = "hardener is in it"


@dataclass(frozen=True, slots=True)
class Rescue:
    """What to add, in the unit the amounts were given in.

    too_much  the component that sets the new total, None where nothing needs to be added
    additions only what is added, never zero
    take_out  how much of the well-stirred cup must come out first for the result to fit; 0 when it fits
    """

    additions: Mapping[str, Fraction]
    total: Fraction
    too_much: str | None
    take_out: Fraction = Fraction(0)

    @property
    def fits(self) -> bool:
        """Whether everything goes into the cup without taking any out."""
        return self.take_out == 0


def rescue(
    parts: Mapping[str, Fraction],
    poured: Mapping[str, Fraction],
    cure: Cure,
    capacity: Fraction | None = None,
) -> Rescue:
    """Return the least additions that restore the ratio of parts from what was really poured.

    The scale is the largest poured / parts; anything smaller would have to take the over-poured
    component out again. Refused when hardener is in the cup, when something was poured that is not
    in the mix, and when nothing was poured.
    """
    _refuse_cured(cure)
    poured = _poured(parts, poured)
    scale, too_much = max((poured[name] / positive(part, name), name) for name, part in parts.items())
    if not scale:
        raise SprayoutError("nothing is in the cup", "Pour the mix from its list.", place="poured")
    needed = {name: scale * part for name, part in parts.items()}
    additions = {name: amount - poured[name] for name, amount in needed.items() if amount != poured[name]}
    return _fitted(needed, additions, too_much if additions else None, capacity)


def stretch(
    parts: Mapping[str, Fraction],
    have: Fraction,
    wanted: Fraction,
    cure: Cure,
    capacity: Fraction | None = None,
) -> Rescue:
    """Return what to add of each part to make a sound cup of `have` up to `wanted`, same ratio."""
    _refuse_cured(cure)
    more = positive(wanted, "wanted") - zero_or_more(have, "have")
    if more <= 0:
        raise SprayoutError(
            f"{told(have)} is there and {told(wanted)} is wanted",
            "It is enough; nothing is added.",
            place="wanted",
        )
    if capacity is not None and wanted > positive(capacity, "capacity"):
        raise SprayoutError(
            f"{told(wanted)} does not fit in {told(capacity)}",
            "Take a larger cup or make the rest in a second one.",
            place="capacity",
        )
    return Rescue(targets(parts, more), Fraction(wanted), None)


def _fitted(
    needed: Mapping[str, Fraction],
    additions: Mapping[str, Fraction],
    too_much: str | None,
    capacity: Fraction | None,
) -> Rescue:
    """Say whether it fits; taking out a share of the stirred cup shrinks every addition by that share."""
    total = sum(needed.values(), Fraction(0))
    if capacity is None or total <= positive(capacity, "capacity"):
        return Rescue(additions, total, too_much)
    kept = capacity / total
    in_cup = total - sum(additions.values(), Fraction(0))
    shrunk = {name: amount * kept for name, amount in additions.items()}
    return Rescue(shrunk, Fraction(capacity), too_much, in_cup * (1 - kept))


def _poured(parts: Mapping[str, Fraction], poured: Mapping[str, Fraction]) -> dict[str, Fraction]:
    if not parts:
        raise SprayoutError("the mix has no parts", "Write what goes in.", place="parts")
    for name, amount in poured.items():
        if zero_or_more(amount, name) and name not in parts:
            raise SprayoutError(
                f"{name!r} is in the cup and not in the mix",
                "No addition takes it out again: start a new cup, or keep this one as a mix of its own.",
                place="poured",
            )
    return {name: Fraction(poured.get(name, 0)) for name in parts}


def _refuse_cured(cure: Cure) -> None:
    if cure is Cure.BEGUN:
        raise SprayoutError(
            "hardener is in the cup, and it has begun to cure",
            "Nothing is added to it; mix a new cup and treat this one as its data sheet says.",
        )
