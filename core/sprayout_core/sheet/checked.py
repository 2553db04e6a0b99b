"""What is checked before a record may be printed: names that say something, amounts above zero."""

from __future__ import annotations

from collections.abc import Iterable

from sprayout_core.errors import Fault, FaultsError
from sprayout_core.ratio import RatioError, exact

__all__ = ["SheetError", "blank", "not_amount", "refuse"]


class SheetError(FaultsError):
    """A sheet, card or label that cannot be printed as it stands; carries every fault of the record."""


def blank(text: str, place: str) -> list[Fault]:
    """Return a fault where nothing that can be seen is written."""
    seen = any(letter.isprintable() and not letter.isspace() for letter in text)
    return [] if seen else [Fault(place, "nothing is written", "Give a name.")]


def not_amount(text: str, place: str) -> list[Fault]:
    """Return a fault where the text is not an exact number above zero."""
    try:
        fine = exact(text) > 0
    except RatioError:
        fine = False
    return [] if fine else [Fault(place, f"{text!r} is not above zero", "Write a decimal such as 2.5.")]


def refuse(*found: Iterable[Fault]) -> None:
    """Raise one SheetError with every fault found, or return quietly."""
    faults = [fault for faults in found for fault in faults]
    if faults:
        raise SheetError(faults)
