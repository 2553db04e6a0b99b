"""How many boxes a coat count asks for, honest about 'about 5' and 'until covered'."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError

__all__ = ["Boxes", "CoatCountError", "boxes"]

_MOST = 99
_EXACT = re.compile(r"([0-9]+)")
_RANGE = re.compile(r"([0-9]+) to ([0-9]+)")
_ABOUT = re.compile(r"about ([0-9]+)")
_UNTIL = "until covered"
_SPARE_ABOUT = 2
_SPARE_UNTIL = 8


class CoatCountError(SprayoutError):
    """A coat count that is none of the four forms."""


@dataclass(frozen=True, slots=True)
class Boxes:
    """The tick boxes of one coat line.

    sure   boxes of coats that are meant in any case
    maybe  further boxes, drawn dashed, for coats that may be needed
    open   whether even the dashed ones may not be enough
    """

    sure: int
    maybe: int
    open: bool


def boxes(count: str) -> Boxes:
    """Return the tick boxes for a count written "5", "4 to 5", "about 5" or "until covered".

    "about 5" gives four sure boxes, the fifth dashed, and two dashed ones more; "until covered" only dashed
    ones. Raises CoatCountError for any other text, no coats, a range that runs backwards or over 99 coats.
    """
    if count == _UNTIL:
        return Boxes(0, _SPARE_UNTIL, open=True)
    if found := _EXACT.fullmatch(count):
        number = _checked(found[1], count)
        return Boxes(number, 0, open=False)
    if found := _RANGE.fullmatch(count):
        least, most = _checked(found[1], count), _checked(found[2], count)
        if least >= most:
            raise _refused(count, "runs backwards")
        return Boxes(least, most - least, open=False)
    if found := _ABOUT.fullmatch(count):
        number = _checked(found[1], count)
        return Boxes(number - 1, 1 + _SPARE_ABOUT, open=True)
    raise _refused(count, "is not a coat count")


def _checked(digits: str, count: str) -> int:
    number = int(digits)
    if not 1 <= number <= _MOST:
        raise _refused(count, f"is not between 1 and {_MOST} coats")
    return number


def _refused(count: str, why: str) -> CoatCountError:
    return CoatCountError(
        f"{count!r} {why}",
        'Write it as "5", "4 to 5", "about 5" or "until covered".',
        place="coats/count",
    )
