"""The two byte forms of a document: the stored form of files and the compact form that is hashed."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from typing import Any

import msgspec

from sprayout_core.errors import Fault, FaultsError

__all__ = ["DEEPEST", "LARGEST", "TextError", "compact", "parse", "stored"]

#: No document nests deeper than this; deeper text is refused before it is understood.
DEEPEST = 24
#: No document is larger than this, in bytes (a picture's thumbnail is the largest part of any).
LARGEST = 1_000_000

_LARGEST_INTEGER = 2**53 - 1
_NEEDS_CARE = re.compile(rb"[:,\[]-?[0-9.]+[eE]|\.0[,\]}]|\x7f|[:,\[]-0[,\]}]")
_NUMBERS_ON_LINES = re.compile(rb"\[\n\s+(-?[0-9][0-9eE.+,\s-]*)\]")


class TextError(FaultsError):
    """Text that is no JSON, or not JSON that a document may be written in."""


def compact(value: Any) -> bytes:
    """Return the canonical JSON bytes of a value, for hashing and signing (RFC 8785).

    Raises TextError for NaN, infinity, whole numbers beyond 2^53 and text that UTF-8 cannot say.
    """
    try:
        quick = msgspec.json.encode(value, order="sorted")
    except (UnicodeEncodeError, TypeError, OverflowError):
        quick = b"\x7f"
    if quick.isascii() and not _NEEDS_CARE.search(quick) and b"null" not in quick:
        return quick
    return "".join(_canonical(value)).encode("utf-8")


def _canonical(value: Any) -> Iterator[str]:
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
    elif isinstance(value, int) and not isinstance(value, bool) and abs(value) > _LARGEST_INTEGER:
        raise TextError(
            [Fault("", f"{value} is beyond 2^53", "Other readers would round it; use fewer digits.")]
        )
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
    return f"{sign}{digits[0]}{'.' + digits[1:] if len(digits) > 1 else ''}e{'+' if power > 0 else '-'}{abs(power)}"


def stored(value: Any) -> bytes:
    """Return the stored form: members sorted, two-space indent, arrays of numbers on one line, LF at the end."""
    lines = msgspec.json.format(compact(value), indent=2)
    return _NUMBERS_ON_LINES.sub(_on_one_line, lines) + b"\n"


def _on_one_line(match: re.Match[bytes]) -> bytes:
    return b"[" + b", ".join(item.strip() for item in match[1].split(b",")) + b"]"


def parse(text: bytes) -> Any:
    """Return the value of strict JSON text.

    Refuses with TextError: more than LARGEST bytes, a byte order mark, text that is not UTF-8 or not JSON, a
    member written twice, null, NaN, infinity, -0, whole numbers beyond 2^53, nesting deeper than DEEPEST.
    """
    if len(text) > LARGEST:
        raise TextError(
            [Fault("", f"{len(text)} bytes, more than {LARGEST}", "Keep pictures and sources beside it.")]
        )
    depth = _depth(text)
    if depth > DEEPEST:
        raise TextError([Fault("", f"nested more than {DEEPEST} deep", "No sprayout document needs that.")])
    try:
        value = msgspec.json.decode(text)
        if stored(value) == text:
            return value
    except (msgspec.DecodeError, RecursionError, TextError, UnicodeDecodeError):
        pass
    return _parse_carefully(text)


def _depth(text: bytes) -> int:
    """Return how deep brackets nest, counting those inside strings too: a bound, never too small."""
    deepest = depth = 0
    for mark in re.finditer(rb"[\[\]{}]", text):
        depth += 1 if mark[0] in b"[{" else -1
        if depth > deepest:
            deepest = depth
            if deepest > 4 * DEEPEST:
                break
    return deepest


def _parse_carefully(text: bytes) -> Any:
    faults: list[Fault] = []

    def members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        seen: dict[str, Any] = {}
        for name, item in pairs:
            if name in seen:
                faults.append(Fault(name, "written twice", "Keep one of them."))
            if item is None:
                faults.append(Fault(name, "null is no value here", "Leave the member out."))
            seen[name] = item
        return seen

    def constant(name: str) -> float:
        faults.append(Fault("", f"{name} is not a number", "Leave the value out."))
        return 0.0

    def number(spelling: str) -> float:
        value = float(spelling)
        if not math.isfinite(value):
            faults.append(Fault("", f"{spelling} is not a finite number", "Leave the value out."))
            return 0.0
        if value == 0 and spelling.startswith("-"):
            faults.append(Fault("", f"{spelling} is no number of ours", "Write 0."))
        return value

    def whole(spelling: str) -> int:
        if spelling.startswith("-0"):
            faults.append(Fault("", "-0 is no number of ours", "Write 0."))
        if len(spelling) > 17 or abs(int(spelling)) > _LARGEST_INTEGER:
            faults.append(Fault("", f"{spelling[:24]} is beyond 2^53", "Use fewer digits."))
            return 0
        return int(spelling)

    try:
        value = json.loads(
            text.decode("utf-8"),
            object_pairs_hook=members,
            parse_constant=constant,
            parse_float=number,
            parse_int=whole,
        )
    except UnicodeDecodeError as error:
        raise TextError([Fault(f"byte {error.start}", "not UTF-8", "Save the file as UTF-8.")]) from None
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise TextError(
            [Fault(place, f"not JSON: {error.msg.lower()}", "Look at the marks just before it.")]
        ) from None
    except RecursionError:
        raise TextError([Fault("", f"nested more than {DEEPEST} deep", "No document needs that.")]) from None
    if faults:
        raise TextError(faults)
    return value
