"""Predicted colours in rows of words, the same in every command."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_library.film.words import counted_coats

if TYPE_CHECKING:
    from sprayout_library.film.looks import Shade

__all__ = ["shade_row"]


def shade_row(one: Shade) -> tuple[str, ...]:
    """Return one shade as columns: coats, the colour in words, for a screen, in numbers, and how sure."""
    coats = counted_coats(one.coats)
    if one.hatched:
        return coats, "////", one.hatched
    assert one.lab is not None and one.interval is not None
    lab = "  ".join(f"{name} {value:5.1f}" for name, value in zip(("L*", "a*", "b*"), one.lab, strict=True))
    screen = one.colour + ("" if one.in_gamut else "*")
    return coats, one.said, f"{screen:<8}  {lab}  +- {one.interval:.1f}"
