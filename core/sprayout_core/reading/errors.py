"""What the reading room refuses, each refusal with its own type."""

from __future__ import annotations

from sprayout_core.errors import SprayoutError

__all__ = ["AngleError", "EvidenceError", "FlopError", "ReadingError", "RepeatsError"]


class ReadingError(SprayoutError):
    """The root of every refusal about readings and what is made of them."""


class AngleError(ReadingError):
    """An aspecular angle that is written unclearly, cannot be, or was not measured."""


class FlopError(ReadingError):
    """A flop index that has no meaning for these values."""


class RepeatsError(ReadingError):
    """Too few repeats, or repeats that do not vary, for what was asked."""


class EvidenceError(ReadingError):
    """Evidence of different grades was put together."""
