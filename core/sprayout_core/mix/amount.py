"""Amounts as the bench says them (ml, l, US fluid ounces, g), exact both ways between volume and mass."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import positive
from sprayout_core.ratio import decimal_text, exact

__all__ = [
    "ML_PER_US_FL_OZ",
    "Amount",
    "Measure",
    "in_grams",
    "in_ml",
    "masses_of",
    "parse_amount",
    "to_step",
    "volumes_of",
]

#: A US gallon is 231 cubic inches and holds 128 fluid ounces (NIST Handbook 44, appendix C).
#: An inch is 25.4 mm.
ML_PER_US_FL_OZ = Fraction(231, 128) * Fraction(254, 100) ** 3

_TYPED = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?|[0-9]+/[0-9]+)\s*([^0-9]*)")


class Measure(Enum):
    """What an amount is counted in."""

    ML = "ml"
    L = "l"
    US_FL_OZ = "US fl oz"
    G = "g"


_WORDS = {
    "ml": Measure.ML,
    "l": Measure.L,
    "g": Measure.G,
    "us fl oz": Measure.US_FL_OZ,
    "us fluid ounce": Measure.US_FL_OZ,
    "us fluid ounces": Measure.US_FL_OZ,
}
_ML = {Measure.ML: Fraction(1), Measure.L: Fraction(1000), Measure.US_FL_OZ: ML_PER_US_FL_OZ}


@dataclass(frozen=True, slots=True)
class Amount:
    """So much of something, above zero, in one measure."""

    value: Fraction
    measure: Measure

    def __post_init__(self) -> None:
        positive(self.value, "amount")

    def __str__(self) -> str:
        return f"{decimal_text(self.value)} {self.measure.value}"


def parse_amount(text: str) -> Amount:
    """Read an amount such as "120 g", "0.5 l" or "4 US fl oz"; raise SprayoutError for a doubtful one."""
    match = _TYPED.fullmatch(text)
    if match is None:
        raise SprayoutError(f"{text!r} is not an amount", "Write it like 120 g, 80 ml, 0.5 l or 4 US fl oz.")
    number, word = match[1], " ".join(match[2].lower().split()).rstrip(".")
    if "," in number and len(number.partition(",")[2]) == 3:
        raise SprayoutError(
            f"{number} can be read as {number.replace(',', '.')} or as {number.replace(',', '')}",
            "Write a point for decimals and nothing between thousands.",
            place="amount",
        )
    if word in _WORDS:
        return Amount(exact(number.replace(",", ".")), _WORDS[word])
    if word in ("oz", "fl oz", "ounce", "ounces", "fluid ounce", "fluid ounces"):
        raise SprayoutError(
            f"{text.strip()!r} may be ounces of weight (28.35 g), US fluid ounces (29.57 ml) "
            "or imperial ones (28.41 ml)",
            f"Write {number} US fl oz, or the amount in ml or g.",
            place="amount",
        )
    missing = f"{number} of what" if not word else f"{word!r} is not a measure known here"
    raise SprayoutError(missing, "Write ml, l, US fl oz or g after the number.", place="amount")


def in_ml(amount: Amount, density_g_per_ml: Fraction | None = None) -> Fraction:
    """Return an amount in millilitres; grams need the density in g/ml."""
    if amount.measure is Measure.G:
        return amount.value / _density(density_g_per_ml, str(amount), "ml")
    return amount.value * _ML[amount.measure]


def in_grams(amount: Amount, density_g_per_ml: Fraction | None = None) -> Fraction:
    """Return an amount in grams; volumes need the density in g/ml."""
    if amount.measure is Measure.G:
        return amount.value
    return amount.value * _ML[amount.measure] * _density(density_g_per_ml, str(amount), "g")


def masses_of(volumes_ml: Mapping[str, Fraction], densities_g_per_ml: Mapping[str, Fraction]) -> dict[str, Fraction]:
    """Return grams for millilitres, component by component (m = v d); volumes are taken to add."""
    return {name: volume * _density(densities_g_per_ml.get(name), name, "g") for name, volume in volumes_ml.items()}


def volumes_of(masses_g: Mapping[str, Fraction], densities_g_per_ml: Mapping[str, Fraction]) -> dict[str, Fraction]:
    """Return millilitres for grams, component by component (v = m / d)."""
    return {name: mass / _density(densities_g_per_ml.get(name), name, "ml") for name, mass in masses_g.items()}


def to_step(value: Fraction, step: Fraction) -> Fraction:
    """Return a value of zero or more rounded to whole steps, halves to the even step."""
    return round(value / positive(step, "step")) * step


def _density(density: Fraction | None, place: str, wanted: str) -> Fraction:
    if density is None:
        raise SprayoutError(
            f"its density is not known, so it cannot be told in {wanted}",
            "Record the density from the data sheet, or weigh a measured volume.",
            place=place,
        )
    return positive(density, f"density of {place}")
