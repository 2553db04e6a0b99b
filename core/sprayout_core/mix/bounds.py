"""Bounds every bench figure keeps, and ranges with two exact ends."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.errors import SprayoutError

__all__ = ["Span", "positive", "share", "told", "zero_or_more"]


def positive(value: Fraction, place: str) -> Fraction:
    """Return an exact value above zero, or raise SprayoutError naming its place."""
    if zero_or_more(value, place) == 0:
        raise SprayoutError("it is 0", "Give more than 0.", place=place)
    return Fraction(value)


def zero_or_more(value: Fraction, place: str) -> Fraction:
    """Return an exact value of zero or more, or raise SprayoutError naming its place."""
    if isinstance(value, bool) or not isinstance(value, int | Fraction):
        raise SprayoutError(
            f"{value!r} is not exact",
            "Give a Fraction or a whole number; a float is already rounded.",
            place=place,
        )
    if value < 0:
        raise SprayoutError(f"{told(Fraction(value))} is below 0", "Give 0 or more.", place=place)
    return Fraction(value)


def share(value: Fraction, place: str) -> Fraction:
    """Return an exact share above 0 and up to 1, or raise SprayoutError naming its place."""
    if positive(value, place) > 1:
        raise SprayoutError(
            f"{told(Fraction(value))} is more than the whole",
            "Give a share of 1, such as 0.65 for 65 %.",
            place=place,
        )
    return Fraction(value)


def told(value: Fraction, digits: int = 6) -> str:
    """Return a value as a decimal for messages, rounded to so many digits after the point."""
    text = f"{float(round(value, digits)):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True, slots=True)
class Span:
    """A range of one quantity: nothing is said about where within it the truth lies."""

    low: Fraction
    high: Fraction

    def __post_init__(self) -> None:
        if self.low > self.high:
            raise SprayoutError(
                f"the range runs from {told(self.low)} down to {told(self.high)}",
                "Give the smaller end first.",
            )

    @classmethod
    def exactly(cls, value: Fraction) -> Span:
        """Return the range that holds one value."""
        return cls(Fraction(value), Fraction(value))

    def __add__(self, other: Span) -> Span:
        return Span(self.low + other.low, self.high + other.high)

    def times(self, factor: Fraction) -> Span:
        """Return the range multiplied by an exact factor of zero or more."""
        factor = zero_or_more(factor, "factor")
        return Span(self.low * factor, self.high * factor)

    def by(self, other: Span) -> Span:
        """Return the range of products with another range, both of zero or more."""
        return Span(self.low * other.low, self.high * other.high)

    def over(self, other: Span) -> Span:
        """Return the range of quotients by another range that stays above zero."""
        positive(other.low, "divisor")
        return Span(self.low / other.high, self.high / other.low)

    def __contains__(self, value: Fraction) -> bool:
        return self.low <= value <= self.high
