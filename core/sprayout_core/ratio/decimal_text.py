"""Decimal text to exact fractions and back: one value has one text."""

from __future__ import annotations

import re
from fractions import Fraction

from sprayout_core.errors import SprayoutError

_DECIMAL = re.compile(r"[0-9]{1,20}(\.[0-9]{1,20})?")
_QUOTIENT = re.compile(r"([0-9]{1,20})/([0-9]{1,20})")


class RatioError(SprayoutError):
    """A number or a ratio that cannot be taken as written."""


def exact(text: str) -> Fraction:
    """Return the exact value of decimal text ("2.5") or of a quotient of whole numbers ("1/3").

    Raises RatioError for signs, exponents, blanks, other scripts' digits and a zero divisor.
    """
    if _DECIMAL.fullmatch(text):
        return Fraction(text)
    quotient = _QUOTIENT.fullmatch(text)
    if quotient and int(quotient[2]):
        return Fraction(int(quotient[1]), int(quotient[2]))
    raise RatioError(f"{text!r} is not a number", "Write digits with a point, such as 2.5, or 1/3.")


def has_decimal_text(value: Fraction) -> bool:
    """Return whether a finite decimal says this value exactly."""
    rest = value.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    return rest == 1


def decimal_text(value: Fraction) -> str:
    """Return the one text of a value of zero or more: a decimal without trailing zeros, else "1/3".

    Raises RatioError for a negative value.
    """
    if value < 0:
        raise RatioError(f"{value} is below zero", "Amounts and parts are zero or more.")
    if not has_decimal_text(value):
        return f"{value.numerator}/{value.denominator}"
    digits = 0
    scaled = value
    while scaled.denominator != 1:
        digits += 1
        scaled = value * 10**digits
    whole = str(scaled.numerator)
    if not digits:
        return whole
    whole = whole.rjust(digits + 1, "0")
    return f"{whole[:-digits]}.{whole[-digits:]}"
