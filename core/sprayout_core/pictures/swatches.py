"""Swatches side by side, with their numbers: a screen shows a colour only roughly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sprayout_core.pictures.svg import INK, PictureError, colour, element, framed, room, words

__all__ = ["Swatch", "swatches"]

_SIDE, _TOP, _MARGIN = 150.0, 38.0, 12.0
_LINE = 16.0


@dataclass(frozen=True, slots=True)
class Swatch:
    """A named colour with the lines that stand under it, its numbers first.

    colour  #rrggbb
    told    lines of text, such as "L* 42.1  a* 3.0  b* -20.4" and "outside what a screen can show"
    """

    label: str
    colour: str
    told: tuple[str, ...] = ()


def swatches(pair: Sequence[Swatch], title: str = "Side by side") -> str:
    """Return the picture of swatches that touch, as two panels do when they are compared.

    raises  PictureError
    """
    if not pair:
        raise PictureError("nothing to draw", "Give at least one swatch.", place="swatches")
    width = _side(pair)
    drawn = []
    for place, one in enumerate(pair):
        x = _MARGIN + place * width
        drawn.append(element("rect", x=x, y=_TOP, width=width, height=_SIDE, fill=colour(one.colour, one.label)))
        drawn.append(words(x + 4, _TOP + _SIDE + 20, one.label, font_weight="600"))
        drawn.extend(
            words(x + 4, _TOP + _SIDE + 20 + _LINE * (line + 1), text, font_size=11)
            for line, text in enumerate(one.told)
        )
    whole = width * len(pair)
    drawn.append(element("rect", x=_MARGIN, y=_TOP, width=whole, height=_SIDE, fill="none", stroke=INK))
    deep = max(len(one.told) for one in pair)
    told = "; ".join(": ".join((one.label, ", ".join((*one.told, one.colour)))) for one in pair)
    return framed(whole + 2 * _MARGIN, _TOP + _SIDE + 34 + _LINE * deep, title, told, drawn)


def _side(pair: Sequence[Swatch]) -> float:
    """Return the width of a swatch that its own text fits under."""
    texts = [text for one in pair for text in (one.label, *one.told)]
    return max(_SIDE, round(8.0 + room(texts)))
