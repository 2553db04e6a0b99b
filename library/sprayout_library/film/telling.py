"""Predicted colours in rows of words, the same in every command."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_library.film.words import counted_coats

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sprayout_library.film.looks import Shade

__all__ = ["shade_row", "to_spray"]


def shade_row(one: Shade) -> tuple[str, ...]:
    """Return one shade as columns: coats, the colour in words, for a screen, in numbers, and how sure."""
    coats = counted_coats(one.coats)
    if one.lab is None or one.interval is None:
        return coats, "////", "rests on nothing"
    lab = "  ".join(f"{name} {value:5.1f}" for name, value in zip(("L*", "a*", "b*"), one.lab, strict=True))
    screen = one.colour + ("" if one.in_gamut else "*")
    said = f"//// a guess: {one.said}" if one.hatched else one.said
    return coats, said, f"{screen:<8}  {lab}  +- {one.interval:.1f}"


def to_spray(shades: Iterable[Shade]) -> list[str]:
    """Return why hatched cells rest on nothing and what to spray, each reason once."""
    return list(dict.fromkeys(one.hatched for one in shades if one.hatched))
