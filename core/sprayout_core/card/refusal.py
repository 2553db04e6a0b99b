"""Why a card or a patch gives no number, and what to do about it."""

from __future__ import annotations

from enum import StrEnum

from sprayout_core.errors import SprayoutError

__all__ = ["CardRefused", "Refusal"]


class Refusal(StrEnum):
    """The reasons for which a picture of a card is refused."""

    NOT_A_PICTURE = "not a picture"
    DAMAGED = "damaged"
    TOO_LARGE = "too large"
    TOO_SMALL = "too small"
    NOT_COLOUR = "not colour"
    MARK_MISSING = "mark missing"
    OTHER_CARD = "other card"
    MIRRORED = "mirrored"
    BENT = "bent"
    BLURRED = "blurred"
    UNEVEN = "uneven"
    CLIPPED = "clipped"
    TOO_FEW_REFERENCES = "too few references"
    REFERENCE_MISMATCH = "reference does not match"
    NOT_DECODED = "not decoded"


class CardRefused(SprayoutError):
    """A picture of a card from which nothing is measured; carries its reason, problem and remedy."""

    def __init__(self, reason: Refusal, problem: str, remedy: str, *, place: str = "") -> None:
        self.reason = reason
        super().__init__(problem, remedy, place=place)
