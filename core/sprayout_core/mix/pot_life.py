"""Pot life as recorded actions: when hardener went in, what was done since, what the sheet says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum
from fractions import Fraction

from sprayout_core.errors import SprayoutError

__all__ = ["Action", "Deed", "PotLife", "Standing", "standing"]


class Deed(Enum):
    """What was done with a cup."""

    HARDENER_IN = "hardener in"
    STIRRED = "stirred"
    REDUCED = "reduced"
    STRAINED = "strained"
    SPRAYED = "sprayed"
    EMPTIED = "emptied"


@dataclass(frozen=True, slots=True)
class Action:
    """One thing done with a cup, at a time with its offset."""

    at: datetime
    deed: Deed
    note: str = ""


@dataclass(frozen=True, slots=True)
class PotLife:
    """What a data sheet says: minutes, at a temperature, and which sheet said so."""

    minutes: int
    degc: Fraction | None
    said_by: str


@dataclass(frozen=True, slots=True)
class Standing:
    """How a cup stands at a moment; facts only, no advice to go on or to stop.

    since_hardener  time since hardener first went in; None where none did
    of_sheet        that time as a share of what the sheet says; None without hardener or sheet
    last            the latest action recorded
    emptied         the first time it was emptied; None while the cup stands
    """

    since_hardener: timedelta | None
    of_sheet: Fraction | None
    last: Action | None
    emptied: Action | None

    @property
    def sentence(self) -> str:
        """The standing in one sentence for the bench."""
        if self.emptied is not None:
            return f"Emptied at {self.emptied.at:%H:%M}."
        if self.since_hardener is None:
            return "No hardener is recorded in it."
        minutes = self.since_hardener // timedelta(minutes=1)
        if self.of_sheet is None:
            return f"Hardener went in {minutes} min ago; no pot life from a data sheet is recorded."
        percent = round(100 * self.of_sheet)
        return f"Hardener went in {minutes} min ago, {percent} % of the data sheet's pot life."


def standing(actions: Sequence[Action], now: datetime, sheet: PotLife | None = None) -> Standing:
    """Return how a cup stands now, from what was recorded; the first contact starts the time.

    Raises SprayoutError for times without an offset and for actions later than now.
    """
    _check_times(actions, now)
    if sheet is not None and sheet.minutes <= 0:
        raise SprayoutError(f"a pot life of {sheet.minutes} minutes", "Copy it from the data sheet.", place="pot life")
    ordered = sorted(actions, key=lambda action: action.at)
    contact = next((action for action in ordered if action.deed is Deed.HARDENER_IN), None)
    emptied = next((action for action in ordered if action.deed is Deed.EMPTIED), None)
    since = now - contact.at if contact is not None else None
    share = None
    if since is not None and sheet is not None:
        share = Fraction(since // timedelta(seconds=1), 60 * sheet.minutes)
    return Standing(since, share, ordered[-1] if ordered else None, emptied)


def _check_times(actions: Sequence[Action], now: datetime) -> None:
    for at in (now, *(action.at for action in actions)):
        if at.utcoffset() is None:
            raise SprayoutError(f"{at.isoformat()} has no offset", "Give the time with its offset, such as +01:00.")
    for action in actions:
        if action.at > now:
            raise SprayoutError(
                f"{action.deed.value} at {action.at.isoformat()} lies after now, {now.isoformat()}",
                "Check the clocks of the machines that recorded it.",
                place="actions",
            )
