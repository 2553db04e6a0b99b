"""The two byte forms of a document: the stored form of files and the compact form that is hashed."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator

import msgspec

from sprayout_core.documents.json_value import Json
from sprayout_core.errors import Fault, FaultsError

__all__ = [
    "DEEPEST",
    "LARGEST",
    "LARGEST_INTEGER",
    "TextError",
    "compact",
    "laid_out",
    "number_text",
    "numbers_are_plain",
    "stored",
]

#: No document nests deeper than this; deeper text is refused before it is understood.
DEEPEST = 24
#: No document is larger than this, in bytes (a picture's thumbnail is the largest part of any).
LARGEST = 1_000_000
#: Whole numbers stay within this, so that every JSON reader keeps them exact (RFC 8785, section 3.2.2.3).
LARGEST_INTEGER = 2**53 - 1

#: Numbers that the quick writer may spell otherwise than RFC 8785: 16 digits and more, exponents, a ".0", a negative
#: zero. One pattern for each mark before a number: to look for one letter first is faster than for any of three.
_NEEDS_CARE = tuple(
    re.compile(mark + rb"(?:-?[0-9](?:[0-9]{15}|[0-9.]*(?:[eE]|\.0[,\]}]))|-0[,\]}])")
    for mark in (rb":", rb",", rb"\[")
)
_NUMBERS_ON_LINES = re.compile(rb"\[\n\s+(-?[0-9][0-9eE.+,\s-]*)\]")


class TextError(FaultsError):
    """Text that is no JSON, or not JSON that a document may be written in."""


def compact(value: Json) -> bytes:
    """Return the canonical JSON bytes of a value, for hashing and signing (RFC 8785).

    Raises TextError for NaN, infinity, whole numbers beyond 2^53 and text that UTF-8 cannot say.
    """
    if isinstance(value, dict | list):
        try:
            quick = msgspec.json.encode(value, order="sorted")
        except (UnicodeEncodeError, TypeError, OverflowError):
            quick = b"\x7f"
        if quick.isascii() and b"\x7f" not in quick and b"null" not in quick and numbers_are_plain(quick):
            return quick
    try:
        return "".join(_canonical(value)).encode("utf-8")
    except UnicodeEncodeError:
        raise TextError([Fault("", "half a character (a lone surrogate)", "Take it out.")]) from None


def numbers_are_plain(quick: bytes) -> bool:
    """Say whether the quick writer spells the numbers in its output as RFC 8785 does."""
    for care in _NEEDS_CARE:  # noqa: SIM110 - a plain loop is the fastest, and this runs for every document read
        if care.search(quick):
            return False
    return True


def _canonical(value: Json) -> Iterator[str]:
    if isinstance(value, dict):
        yield "{"
        for place, name in enumerate(sorted(value, key=lambda name: name.encode("utf-16-be"))):
            yield ("," if place else "") + json.dumps(name, ensure_ascii=False) + ":"
            yield from _canonical(value[name])
        yield "}"
    elif isinstance(value, list | tuple):
        yield "["
        for place, item in enumerate(value):
            yield "," if place else ""
            yield from _canonical(item)
        yield "]"
    elif isinstance(value, float):
        yield number_text(value)
    elif isinstance(value, int) and not isinstance(value, bool) and abs(value) > LARGEST_INTEGER:
        raise TextError([Fault("", f"{value} is beyond 2^53", "Other readers would round it; use fewer digits.")])
    else:
        yield json.dumps(value, ensure_ascii=False)


def number_text(value: float) -> str:
    """Return a number as RFC 8785 (and ECMAScript) writes it. Raises TextError for NaN and infinity."""
    if not math.isfinite(value):
        raise TextError([Fault("", f"{value} is not a finite number", "Leave the value out.")])
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    mantissa, _, exponent = f"{abs(value)!r}".partition("e")
    whole, _, part = mantissa.partition(".")
    digits = (whole + ("" if part == "0" and not exponent else part)).lstrip("0")
    point = len(whole) + int(exponent or 0) if whole != "0" else len(digits) - len(part)
    digits = digits.rstrip("0")
    if 0 < point <= 21:
        padded = digits.ljust(point, "0")
        return sign + padded[:point] + ("." + padded[point:] if len(padded) > point else "")
    if -6 < point <= 0:
        return sign + "0." + "0" * -point + digits
    power = point - 1
    fraction = "." + digits[1:] if len(digits) > 1 else ""
    return f"{sign}{digits[0]}{fraction}e{'+' if power > 0 else '-'}{abs(power)}"


def stored(value: Json) -> bytes:
    """Return the stored form: members sorted, two-space indent, arrays of numbers on one line, final LF."""
    return laid_out(compact(value))


def laid_out(compact_form: bytes) -> bytes:
    """Return the stored form of a value whose compact form this is."""
    lines = msgspec.json.format(compact_form, indent=2)
    return _NUMBERS_ON_LINES.sub(_on_one_line, lines) + b"\n"


def _on_one_line(match: re.Match[bytes]) -> bytes:
    return b"[" + b", ".join(item.strip() for item in match[1].split(b",")) + b"]"
