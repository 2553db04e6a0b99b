"""Colour differences in a formula that a plugin brings."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Differences"]


@dataclass(frozen=True, slots=True)
class Differences:
    """What a formula says of pairs of colours.

    formula  its name, as it was asked for
    values   one difference for each pair, none negative (n,)
    """

    formula: str
    values: tuple[float, ...] = ()
