"""A mix with bottles of another strength: exact parts, and the simplest ratio within what is known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Find, Formula, Material
from sprayout_core.mix import composition
from sprayout_core.ratio import decimal_text, smallest_integers

if TYPE_CHECKING:
    from sprayout_core.film import Estimate

__all__ = ["Part", "Poured", "flat_parts", "poured_with", "simplest_between"]


@dataclass(frozen=True, slots=True)
class Part:
    """One material of a mix: its parts as written, as they come out exactly, and in the simple ratio.

    give   the exact parts are sure to this much, one standard uncertainty
    """

    name: str
    written: Fraction
    exact: Fraction
    give: Fraction
    simple: int


@dataclass(frozen=True, slots=True)
class Poured:
    """A mix from one's own bottles; the written mix stays as it is.

    simple   whether the simple ratio differs from the written one
    remark   what the new parts do to the film where no carrier takes up the difference
    """

    mix: str
    parts: tuple[Part, ...]
    remark: str

    @property
    def ratio(self) -> str:
        """The simple ratio with names: "4 violet : 2 moss : 1 clear carrier"."""
        return " : ".join(f"{one.simple} {one.name}" for one in self.parts if one.simple)

    @property
    def exactly(self) -> str:
        """The exact parts with names."""
        return " : ".join(f"{decimal_text(one.exact)} {one.name}" for one in self.parts if one.exact)

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "mix": self.mix,
            "ratio": self.ratio,
            "parts": [
                {
                    "material": one.name,
                    "written": decimal_text(one.written),
                    "exact": decimal_text(one.exact),
                    "give": decimal_text(one.give),
                    "simple": one.simple,
                }
                for one in self.parts
            ],
            "remark": self.remark,
        }


def simplest_between(low: Fraction, high: Fraction) -> Fraction:
    """Return the fraction with the smallest denominator from low to high, 0 < low <= high (Stern-Brocot)."""
    whole = math.floor(low)
    if whole == low:
        return Fraction(whole)
    if whole + 1 <= high:
        return Fraction(whole + 1)
    return whole + 1 / simplest_between(1 / (high - whole), 1 / (low - whole))


def flat_parts(formula: Formula, find: Find) -> dict[str, int]:
    """Return {material id: whole-number parts} of a mix, nested mixes taken apart. Raises what `composition` does."""
    return smallest_integers(composition(formula, find))


def poured_with(formula: Formula, strengths: Mapping[str, Estimate], find: Find) -> Poured:
    """Return a mix poured from bottles of other strengths than those it was written with.

    strengths   by material id, of the own bottle beside the recipe's; others count as equal

    What a stronger dye leaves free, or a weaker one needs, is carrier: so a coat holds the same dye and no more
    film. Raises what `composition` does.
    """
    written = flat_parts(formula, find)
    exact = {key: Fraction(parts) for key, parts in written.items()}
    simple, give = dict(exact), dict.fromkeys(exact, Fraction(0))
    for key in strengths.keys() & written.keys():
        value, width = (_four_digits(each) for each in (strengths[key].value, strengths[key].uncertainty))
        exact[key] = written[key] / value
        give[key] = exact[key] * width / value
        low, high = exact[key] - give[key], exact[key] + give[key]
        simple[key] = simplest_between(low, high) if low > 0 else exact[key]
    remark = _taken_up(written, exact, simple, find)
    whole = smallest_integers({key: parts for key, parts in simple.items() if parts > 0})
    parts = tuple(
        Part(
            _name(key, find), Fraction(written[key]), _hundredths(exact[key]), _hundredths(give[key]), whole.get(key, 0)
        )
        for key in written
    )
    return Poured(formula.name, parts, remark)


def _taken_up(written: Mapping[str, int], exact: dict[str, Fraction], simple: dict[str, Fraction], find: Find) -> str:
    """Let the carrier take up the difference, or tell what is left where there is none, or too little of it."""
    carriers = [key for key in written if isinstance(one := find(key), Material) and one.role == "carrier"]
    total = sum(written.values())
    freed = Fraction(total) - sum(exact.values(), Fraction(0))
    if not freed:
        return ""
    carrier = max(carriers, key=lambda key: written[key], default=None)
    if carrier is not None:
        short = [each for each in (exact, simple) if each[carrier] + total - sum(each.values()) < 0]
        if not short:
            for each in (exact, simple):
                each[carrier] += total - sum(each.values())
            return ""
    more = decimal_text(_hundredths(abs(freed)))
    if freed > 0:
        return f"add {more} parts of carrier to the exact parts, or every coat is stronger: this mix has none"
    return f"the exact parts are {more} more than before, with no carrier to take out: every coat is weaker, lay more"


def _four_digits(value: float) -> Fraction:
    """A strength is never known to more: what is left out is no digit, and parts stay parts."""
    return Fraction(round(value * 10_000), 10_000)


def _hundredths(value: Fraction) -> Fraction:
    return Fraction(round(value * 100), 100)


def _name(key: str, find: Find) -> str:
    document = find(key)
    return document.name if document is not None else f"…{key[-6:]}"
