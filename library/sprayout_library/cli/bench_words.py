"""Words of the bench as people type them: numbers with units, NAME=AMOUNT, ranges; and pour lists as rows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.mix import Amount, Coats
    from sprayout_core.mix.bounds import Span
    from sprayout_library.today.pouring import Pouring

__all__ = [
    "amount_in", "coats_in", "degrees_in", "humidity_in", "named", "number_in", "percent_span", "pour_rows", "rounded",
    "span_in", "spanned",
]  # fmt: skip

_NUMBER = r"[0-9]+(?:[.,][0-9]+)?(?:/[0-9]+)?"


def number_in(text: str, *units: str) -> Fraction:
    """Return a number above zero, with one of these units behind it or none. Raises SprayoutError."""
    from sprayout_core.ratio import exact

    match = re.fullmatch(rf"\s*({_NUMBER})\s*([^\d\s]*)\s*", text)
    told = f" in {units[0]}" if units else ""
    if not match or (match[2] and match[2].lower() not in units):
        raise SprayoutError(f"{text!r} is no number{told}", f"Write it like 2.5{units[0] if units else ''}.")
    value = exact(match[1].replace(",", "."))
    if not value:
        raise SprayoutError(f"{text!r} is 0", "Give more than 0.")
    return value


def span_in(text: str, *units: str) -> Span:
    """Return a range such as "8 to 12 um", "8-12", or one number. Raises SprayoutError."""
    from sprayout_core.mix.bounds import Span

    pieces = re.split(r"\s+to\s+|\s*-\s*|\s*–\s*", text.strip(), maxsplit=1)
    ends = [number_in(one, *units) for one in pieces]
    return Span(ends[0], ends[-1])


def percent_span(text: str, what: str) -> Span:
    """Return a range of percent as shares of 1. Raises SprayoutError for more than all of it."""
    found = span_in(text, "%", "percent")
    if found.high > 100:
        raise SprayoutError(f"{text!r} is more than all of it", f"Give {what} in percent, such as 50-65.")
    return found.times(Fraction(1, 100))


def coats_in(text: str) -> Coats:
    """Return a number of coats from "5" or "4 to 5". Raises SprayoutError."""
    from sprayout_core.mix import Coats

    match = re.fullmatch(r"\s*([1-9][0-9]?)(?:\s*(?:to|-)\s*([1-9][0-9]?))?\s*", text)
    if not match:
        raise SprayoutError(f"{text!r} is no number of coats", "Write 5, or 4 to 5.")
    return Coats(int(match[1]), int(match[2] or match[1]))


def named(pair: str, what: str) -> tuple[str, str]:
    """Return the two sides of NAME=VALUE. Raises SprayoutError where there is no name or no value."""
    name, sign, value = pair.rpartition("=")
    if not sign or not name.strip() or not value.strip():
        raise SprayoutError(f"{pair!r} does not say {what}", 'Write it as "NAME=VALUE".')
    return name.strip(), value.strip()


def amount_in(text: str) -> Amount:
    """Return an amount such as 120 g or 80ml. Raises SprayoutError."""
    from sprayout_core.mix import parse_amount

    return parse_amount(text)


def rounded(value: Fraction, digits: int = 1) -> str:
    """Return a figure for reading, rounded; small ones keep three digits that count."""
    from sprayout_core.mix.bounds import told

    if value and abs(value) < 1:
        digits = max(digits, 3)
    return told(value, digits)


def spanned(span: Span, digits: int = 0) -> str:
    """Return a range for reading: "82 to 110", or one figure."""
    low, high = rounded(span.low, digits), rounded(span.high, digits)
    return low if low == high else f"{low} to {high}"


def pour_rows(pouring: Pouring) -> Sequence[tuple[str, str, str, str]]:
    """Return a pour list as rows: what, how much, what the cup or scale then reads, what to know of it."""
    table = []
    for line in pouring.lines:
        reading = "" if line.reading is None else f"to {rounded(line.reading, 2)} {line.unit}"
        strain = f"strained {line.strain_um} um" if line.strain_um else ""
        notes = "; ".join(text for text in (line.said, strain, line.warning) if text)
        table.append((line.name, f"{rounded(line.amount, 2)} {line.unit}", reading, notes))
    return table


def degrees_in(text: str | None) -> float | None:
    """Return the air of a booth in degrees Celsius, -30 to 60. Raises SprayoutError."""
    if text is None:
        return None
    try:
        value = float(text.lower().removesuffix("c").removesuffix("°").replace(",", "."))
    except ValueError:
        value = float("nan")
    if not -30 <= value <= 60:
        raise SprayoutError(f"{text!r} is no air to spray in", "Give the booth's degrees Celsius, such as 21.")
    return value


def humidity_in(text: str | None) -> float | None:
    """Return a humidity in percent. Raises SprayoutError."""
    return None if text is None else float(percent_span(text, "the humidity").low * 100)
