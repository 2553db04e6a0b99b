"""A chart of two quantities: lines with marked, coloured dots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sprayout_core.pictures.axes import apart, finite, grid, scale
from sprayout_core.pictures.svg import INK, PictureError, colour, element, framed, polyline, room, words

__all__ = ["Marked", "chart"]

_HEIGHT = 400.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 48.0, 470.0, 60.0, 348.0
_DASHES = ("", "8 4", "2 4", "8 3 2 3")


@dataclass(frozen=True, slots=True)
class Marked:
    """A named line whose every dot has a mark (a number of coats) and its own colour, #rrggbb."""

    label: str
    across: Sequence[float]
    up: Sequence[float]
    marks: Sequence[str]
    colours: Sequence[str]


def chart(lines: Sequence[Marked], across: str, up: str, title: str, told: str, limit: float | None = None) -> str:
    """Return the picture of lines between two named quantities; `limit` is an upright line across.

    told    what it shows in words, for those who do not see it
    raises  PictureError
    """
    if not lines:
        raise PictureError("nothing to draw", "Give at least one line.", place="lines")
    for line in lines:
        counts = {len(finite(line.across, line.label)), len(finite(line.up, line.label))}
        if len(counts | {len(line.marks), len(line.colours)}) != 1:
            raise PictureError("a line of unequal columns", "Give a mark and a colour for each dot.", place=line.label)
    at = scale([*(v for line in lines for v in line.across), *([limit] if limit else [])], _LEFT, _RIGHT, least=0.1)
    high = scale([value for line in lines for value in line.up], _BOTTOM, _TOP, least=5.0)
    drawn = grid(at, high, (across, up))
    if limit is not None:
        drawn.append(
            element("line", x1=at(limit), x2=at(limit), y1=_TOP, y2=_BOTTOM, stroke=INK, stroke_dasharray="4 4")
        )
    heights = apart([high(line.up[-1]) for line in lines], 15.0, _TOP, _BOTTOM)
    for place, (line, height) in enumerate(zip(lines, heights, strict=True)):
        dots = [(at(x), high(y)) for x, y in zip(line.across, line.up, strict=True)]
        dashes = _DASHES[place % len(_DASHES)]
        drawn.append(polyline(dots, stroke=INK, stroke_width=1.2, **({"stroke_dasharray": dashes} if dashes else {})))
        for (x, y), mark, fill in zip(dots, line.marks, line.colours, strict=True):
            drawn.append(element("circle", cx=x, cy=y, r=8, fill=colour(fill, line.label), stroke=INK))
            drawn.append(words(x, y - 12, mark, text_anchor="middle", font_size=10))
        drawn.append(polyline([dots[-1], (_RIGHT + 8, height)], stroke=INK, stroke_width=0.6))
        drawn.append(words(_RIGHT + 12, height + 4, line.label))
    return framed(_RIGHT + 20.0 + room(line.label for line in lines), _HEIGHT, title, told, drawn)
