"""Strict reading of JSON text: every fault told with its place, nothing guessed and nothing lost."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator

import msgspec

from sprayout_core.documents.json_value import Json
from sprayout_core.documents.text import DEEPEST, LARGEST, LARGEST_INTEGER, TextError, stored
from sprayout_core.errors import Fault

__all__ = ["parse"]

#: A string that does not end is taken to the end of the text: else each quote in it would be tried anew.
_STRINGS = re.compile(rb'"[^"\\]*(?:\\.[^"\\]*)*"?', re.DOTALL)
#: In the stored form each line says by its blanks how deep it is, and no text holds a line's end.
_TOO_DEEP = b"\n" + b"  " * DEEPEST + b" "
_BRACKETS = re.compile(rb"[\[\]{}]")


def parse(text: bytes) -> Json:
    """Return the value of strict JSON text.

    Refuses with TextError: more than LARGEST bytes, a byte order mark, text that is not UTF-8 or not JSON, a
    member written twice, null, NaN, infinity, -0, whole numbers beyond 2^53, half characters, nesting deeper
    than DEEPEST.
    """
    if len(text) > LARGEST:
        raise TextError([Fault("", f"{len(text)} bytes, more than {LARGEST}", "Keep pictures and sources beside it.")])
    if text.startswith(b"\xef\xbb\xbf"):
        raise TextError([Fault("", "begins with a byte order mark", "Save the file as UTF-8 without one.")])
    if b"null" not in text and _TOO_DEEP not in text:
        try:
            value = msgspec.json.decode(text)
            if stored(value) == text:
                return value
        except (msgspec.DecodeError, RecursionError, TextError, UnicodeDecodeError):
            pass
    if _depth(text) > DEEPEST:
        raise TextError([Fault("", f"nested more than {DEEPEST} deep", "No document needs that.")])
    return _parsed_carefully(text)


def _depth(text: bytes) -> int:
    """Return how deep brackets nest; those inside strings do not count."""
    deepest = depth = 0
    for mark in _BRACKETS.finditer(_STRINGS.sub(b"", text)):
        depth += 1 if mark[0] in b"[{" else -1
        if depth > deepest:
            deepest = depth
            if deepest > DEEPEST:
                break
    return deepest


class _Bad:
    """Stands in a parsed value where something cannot be taken, until its place is known."""

    def __init__(self, problem: str, remedy: str) -> None:
        self.problem = problem
        self.remedy = remedy


class _Members(dict[str, Json]):
    """The members of an object, with the names that were written more than once."""

    twice: tuple[str, ...] = ()


def _members(pairs: list[tuple[str, Json]]) -> _Members:
    members = _Members(pairs)
    if len(members) < len(pairs):
        names = [name for name, _ in pairs]
        members.twice = tuple(name for name in members if names.count(name) > 1)
    return members


def _number(spelling: str) -> Json:
    value = float(spelling)
    if not math.isfinite(value):
        return _Bad(f"{spelling[:24]} is not a finite number", "Leave the value out.")
    if value == 0 and spelling.startswith("-"):
        return _Bad(f"{spelling[:24]} is no number of ours", "Write 0.")
    return value


def _whole(spelling: str) -> Json:
    if spelling == "-0":
        return _Bad("-0 is no number of ours", "Write 0.")
    if len(spelling) > 17 or abs(int(spelling)) > LARGEST_INTEGER:
        return _Bad(f"{spelling[:24]} is beyond 2^53", "Use fewer digits.")
    return int(spelling)


def _constant(name: str) -> Json:
    return _Bad(f"{name} is not a number", "Leave the value out.")


def _parsed_carefully(text: bytes) -> Json:
    try:
        value = json.loads(
            text.decode("utf-8"),
            object_pairs_hook=_members,
            parse_constant=_constant,
            parse_float=_number,
            parse_int=_whole,
        )
    except UnicodeDecodeError as error:
        raise TextError([Fault(f"byte {error.start}", "not UTF-8", "Save the file as UTF-8.")]) from None
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise TextError([Fault(place, "not JSON from here on", "Look at the marks just before it.")]) from None
    if faults := list(_faults(value, "")):
        raise TextError(faults)
    return _plain(value)


def _faults(value: Json, place: str) -> Iterator[Fault]:
    if isinstance(value, _Bad):
        yield Fault(place, value.problem, value.remedy)
    elif value is None:
        yield Fault(place, "null is no value here", "Leave the member out.")
    elif isinstance(value, str):
        if _is_broken(value):
            yield Fault(place, "half a character (a lone surrogate)", "Take it out.")
    elif isinstance(value, _Members):
        prefix = f"{place}/" if place else ""
        for name in value.twice:
            yield Fault(prefix + name, "written twice", "Keep one of them.")
        for name, item in value.items():
            if _is_broken(name):
                yield Fault(place, "a member's name holds half a character", "Take it out.")
            yield from _faults(item, prefix + name)
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from _faults(item, f"{place}/{number}" if place else str(number))


def _is_broken(text: str) -> bool:
    return any("\ud800" <= character <= "\udfff" for character in text)


def _plain(value: Json) -> Json:
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    return [_plain(item) for item in value] if isinstance(value, list) else value
