"""The small values that documents are made of: names, dots, times, exact amounts, measured numbers."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import partial
from typing import Annotated, Any

from pydantic import AfterValidator, Field
from pydantic.fields import FieldInfo

from sprayout_core.documents.json_value import Json
from sprayout_core.documents.spelling import fault
from sprayout_core.errors import SprayoutError
from sprayout_core.ratio import decimal_text, exact

__all__ = [
    "TAKEN_AS_WRITTEN",
    "Amount",
    "Coordinate",
    "Count",
    "Json",
    "LongText",
    "Nanometres",
    "Number",
    "Percent",
    "Positive",
    "Reflectance",
    "Text",
    "Time",
    "can_be_shown",
    "kept_to",
]

_TIME = re.compile(r"(\d{4})-(\d{2})-(\d{2})[Tt](\d{2}):(\d{2}):(\d{2})(\.\d{1,9})?([Zz]|[+-]\d{2}:\d{2})", re.ASCII)
#: Marks that turn the direction of writing, with which one name can be made to look like another.
_TURNS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")
#: The same, and all that cannot be shown: controls, halves of characters, private use, ends of lines and paragraphs.
_HIDDEN = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff\ue000-\uf8ff\U000f0000-\U000ffffd\U00100000-\U0010fffd"
    "\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]"
)
_COUNT = re.compile(r"until covered|about [1-9][0-9]?|([1-9][0-9]?)( to ([1-9][0-9]?))?", re.ASCII)


_SPELLED = re.compile(r"(0|[1-9][0-9]{0,19})(\.[0-9]{0,19}[1-9])?", re.ASCII)


def _plain(text: str) -> str:
    text = unicodedata.normalize("NFC", text)
    if text != text.strip() or not text:
        raise fault("blank at an end, or nothing at all", "Write some text without blanks at its ends.")
    for character in text:
        # Unassigned characters pass: which those are depends on the Unicode edition of the reader.
        if character != "\n" and (
            character in _TURNS or unicodedata.category(character) in {"Cc", "Cs", "Co", "Zl", "Zp"}
        ):
            raise fault(f"the character U+{ord(character):04X} cannot be shown", "Take it out.")
    return text


def _one_line(text: str) -> str:
    if "\n" in text:
        raise fault("more than one line", "Write it on one line; longer words go into a note.")
    return _plain(text)


def _time(text: str) -> str:
    match = _TIME.fullmatch(text)
    remedy = "Write it as 2026-03-02T09:10:00Z (RFC 3339)."
    if not match:
        raise fault(f"{text!r} is no time", remedy)
    year, month, day, hour, minute, second = (int(part) for part in match.groups()[:6])
    try:
        # A leap second is legal (RFC 3339, section 5.7) but not known to the calendar used here.
        datetime.datetime(year, month, day, hour, minute, min(second, 59), tzinfo=datetime.UTC)
    except ValueError:
        raise fault(f"{text!r} is not in the calendar", remedy) from None
    zone = match[8]
    bad_zone = zone not in "Zz" and (int(zone[1:3]) > 23 or int(zone[4:]) > 59)
    if second > 60 or bad_zone:
        raise fault(f"{text!r} is not on the clock", remedy)
    return text


def _exact(text: str) -> Fraction:
    if text.startswith("-"):
        raise fault(f"{text} is below zero", "Amounts and parts are zero or more.")
    try:
        return exact(text)
    except SprayoutError as error:
        raise fault(error.fault.problem, error.fault.remedy) from None


def _amount(text: str) -> str:
    # Most text is in its one spelling already, which a pattern tells faster than arithmetic.
    return text if _SPELLED.fullmatch(text) else decimal_text(_exact(text))


def _positive(text: str) -> str:
    spelled = _amount(text)
    if spelled == "0":
        raise fault(f"{text} is not above zero", "Give a positive amount or drop it.")
    return spelled


def _percent(text: str) -> str:
    if _exact(text) > 100:
        raise fault(f"{text} percent is more than all of it", "Give 0 to 100.")
    return _amount(text)


def _count(text: str) -> str:
    match = _COUNT.fullmatch(text)
    if not match or (match[3] and int(match[3]) <= int(match[1])):
        remedy = "Write 5, 4 to 5, about 5, or until covered."
        raise fault(f"{text!r} is no count of coats", remedy)
    return text


def _finite(value: Json) -> Json:
    if isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        raise fault(f"{value} is not a finite number", "Leave the value out.")
    return value


_DECIMAL = _SPELLED.pattern + r"|[1-9][0-9]{0,19}/[1-9][0-9]{0,19}"


def _spelled(pattern: str, **more: Json) -> FieldInfo:
    """Return what the schema says of text that a rule of our own judges when it is read."""
    said: FieldInfo = Field(json_schema_extra={"pattern": f"^({pattern})$", **more})
    return said


Time = Annotated[
    str,
    Field(max_length=40),
    _spelled(r"\d{4}-\d{2}-\d{2}[Tt]\d{2}:\d{2}:\d{2}(\.\d{1,9})?([Zz]|[+-]\d{2}:\d{2})"),
    AfterValidator(_time),
]
Text = Annotated[str, Field(max_length=200), _spelled(r"\S|\S.*\S"), AfterValidator(_one_line)]
LongText = Annotated[str, Field(max_length=10_000), _spelled(r"\S|\S[\s\S]*\S"), AfterValidator(_plain)]
Amount = Annotated[str, Field(max_length=45), _spelled(_DECIMAL), AfterValidator(_amount)]
Positive = Annotated[
    str, Field(max_length=45), _spelled(_DECIMAL, **{"not": {"const": "0"}}), AfterValidator(_positive)
]
Percent = Annotated[str, Field(max_length=45), _spelled(_DECIMAL), AfterValidator(_percent)]
Count = Annotated[str, Field(max_length=20), _spelled(_COUNT.pattern), AfterValidator(_count)]
Number = Annotated[int | float, Field(ge=-1e9, le=1e9), AfterValidator(_finite)]


def kept_to(digits: int, value: Json) -> Json:
    """Return a number that has no more decimals than these; refuses any other."""
    if round(value, digits) != value:
        raise fault(f"{value} has more than {digits} decimals", f"Round it to {digits}: readings are kept so.")
    return value


#: A reflectance factor, in steps of 0.00001; over 1 near the gloss angle, small negatives kept.
Reflectance = Annotated[Number, Field(ge=-1, le=100), AfterValidator(partial(kept_to, 5))]
#: A colour coordinate, in steps of 0.0001.
Coordinate = Annotated[Number, AfterValidator(partial(kept_to, 4))]
#: A wavelength, in steps of 0.0001 nm.
Nanometres = Annotated[Number, Field(ge=200, le=3000), AfterValidator(partial(kept_to, 4))]

_DAY = "(?:0[13578]|1[02])-(?:0[1-9]|[12][0-9]|3[01])|(?:0[469]|11)-(?:0[1-9]|[12][0-9]|30)|02-(?:0[1-9]|1[0-9]|2[0-8])"
_HOUR = "(?:[01][0-9]|2[0-3]):[0-5][0-9]"

#: For each rule above, a pattern of text that it surely takes and leaves as it is; of other text it takes some too.
#: Whether the characters within can be shown is asked of the whole document's text.
TAKEN_AS_WRITTEN: Mapping[Callable[[Any], Any], str] = {
    _time: rf"(?!0000)[0-9]{{4}}-(?:{_DAY})T{_HOUR}:[0-5][0-9](?:\.[0-9]{{1,9}})?(?:Z|[+-]{_HOUR})",
    _one_line: r"\S(?:.*\S)?",
    _plain: r"\S(?:[\s\S]*\S)?",
    _amount: _SPELLED.pattern,
    _positive: rf"(?!0\Z)(?:{_SPELLED.pattern})",
    _percent: r"100|(0|[1-9][0-9]?)(\.[0-9]{0,19}[1-9])?",
    _count: "until covered|about [1-9][0-9]?|[1-9][0-9]?",
}


def can_be_shown(text: str) -> bool:
    """Say whether text is composed (NFC) and holds no character, but for line ends, that text may not hold."""
    return _HIDDEN.search(text) is None and unicodedata.is_normalized("NFC", text)
