"""The grades of evidence, which are never mixed, and the cautions that go with a reading."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from sprayout_core.reading.errors import EvidenceError, ReadingError

__all__ = ["Grade", "one_grade", "warm_panel"]

_SENSIBLE = (-20.0, 120.0)
_ROOM = 23.0
_CLOSE = 5.0


class Grade(StrEnum):
    """What a colour rests on, from the eye up."""

    EYE = "by eye"
    PICTURE = "picture"
    CARD = "scanned card"
    COORDINATES = "L*a*b* of an instrument"
    SPECTRUM = "spectrum"
    ANGLES = "spectra at several angles"


def one_grade(grades: Iterable[Grade]) -> Grade:
    """Return the one grade that all evidence has.

    raises  EvidenceError where there is none, or where grades are mixed, naming them
    """
    found = sorted(set(grades), key=list(Grade).index)
    if not found:
        raise EvidenceError("no evidence", "Give at least one reading.", place="grade")
    if len(found) > 1:
        raise EvidenceError(
            f"{' and '.join(found)} were put together",
            "Evidence of different grades is told side by side, never averaged.",
            place="grade",
        )
    return found[0]


def warm_panel(panel_degc: float, usual_degc: float = _ROOM) -> str:
    """Return the caution for a panel that was not measured near its usual temperature, or nothing.

    panel_degc  temperature of the panel, degrees Celsius
    usual_degc  the temperature at which the shop measures; 23 unless given
    raises      ReadingError

    Red, orange and yellow ceramic reference tiles move by 0.8 to 1.0 CIELAB units in 10 degrees
    (thermochromism of ceramic tiles; figures as remembered, not ours to correct with).
    """
    for value in (panel_degc, usual_degc):
        if not _SENSIBLE[0] <= value <= _SENSIBLE[1]:
            raise ReadingError(f"a panel at {value:g} °C", "Give degrees Celsius.", place="temperature")
    apart = panel_degc - usual_degc
    if abs(apart) < _CLOSE:
        return ""
    return (
        f"a {'warm' if apart > 0 else 'cold'} panel measures differently: it was {abs(apart):.0f} °C from "
        f"{usual_degc:g} °C; reds, oranges and yellows may move by about {0.1 * abs(apart):.1f}. "
        "Measure again when it is at room temperature."
    )
