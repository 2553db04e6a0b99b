"""The a*, b* plane: where colours lie, and which way trials went from their standard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sprayout_core.pictures.axes import Scale, apart, finite, grid
from sprayout_core.pictures.svg import INK, PictureError, colour, element, framed, room, words

__all__ = ["Dot", "plane"]

_HEIGHT = 420.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 48.0, 360.0, 56.0, 368.0
_SIZE = 14.0


@dataclass(frozen=True, slots=True)
class Dot:
    """A named colour: CIELAB a* and b*, and #rrggbb for the dot."""

    label: str
    a: float
    b: float
    colour: str


def plane(dots: Sequence[Dot], title: str = "Hue and chroma") -> str:
    """Return the picture of colours in the a*, b* plane; the first is the standard, lines lead from it.

    raises  PictureError
    """
    if not dots:
        raise PictureError("nothing to draw", "Give at least one colour.", place="dots")
    for dot in dots:
        finite((dot.a, dot.b), dot.label)
        colour(dot.colour, dot.label)
    across, up = _square(dots)
    drawn = grid(across, up, ("a* (green to red)", "b* (blue to yellow)"))
    drawn.extend(_zero_lines(across, up))
    first = dots[0]
    drawn.extend(
        element(
            "line",
            x1=across(first.a),
            y1=up(first.b),
            x2=across(dot.a),
            y2=up(dot.b),
            stroke=INK,
            stroke_width=1.2,
        )
        for dot in dots[1:]
    )
    heights = apart([up(dot.b) for dot in dots], 16.0, _TOP, _BOTTOM)
    for dot, height in zip(dots, heights, strict=True):
        x, y = across(dot.a), up(dot.b)
        drawn.append(element("line", x1=x, y1=y, x2=_RIGHT + 14, y2=height, stroke=INK, stroke_width=0.4))
        drawn.append(_mark(x, y, dot, first))
        drawn.append(words(_RIGHT + 18, height + 4, _named(dot)))
    told = "; ".join(f"{dot.label}: a* {dot.a:.1f}, b* {dot.b:.1f}" for dot in dots)
    return framed(_RIGHT + 26 + room(map(_named, dots)), _HEIGHT, title, told, drawn)


def _named(dot: Dot) -> str:
    return f"{dot.label} ({dot.a:.1f}, {dot.b:.1f})"


def _mark(x: float, y: float, dot: Dot, first: Dot) -> str:
    """Return the mark of a colour: a square for the standard, a disc for the others."""
    if dot is first:
        return element("rect", x=x - 7, y=y - 7, width=14, height=14, fill=dot.colour, stroke=INK, stroke_width=1.5)
    return element("circle", cx=x, cy=y, r=7, fill=dot.colour, stroke=INK, stroke_width=1.5)


def _square(dots: Sequence[Dot]) -> tuple[Scale, Scale]:
    """Return two scales with the same units on the paper, so that distances are true."""
    middle_a = (max(dot.a for dot in dots) + min(dot.a for dot in dots)) / 2.0
    middle_b = (max(dot.b for dot in dots) + min(dot.b for dot in dots)) / 2.0
    reach = max(abs(dot.a - middle_a) for dot in dots)
    reach = 1.25 * max(reach, *(abs(dot.b - middle_b) for dot in dots), 2.0)
    return (
        Scale(middle_a - reach, middle_a + reach, _LEFT, _RIGHT),
        Scale(middle_b - reach, middle_b + reach, _BOTTOM, _TOP),
    )


def _zero_lines(across: Scale, up: Scale) -> list[str]:
    drawn = []
    if across.low < 0.0 < across.high:
        x = across(0.0)
        drawn.append(element("line", x1=x, x2=x, y1=up.start, y2=up.end, stroke=INK, stroke_width=0.8))
    if up.low < 0.0 < up.high:
        y = up(0.0)
        drawn.append(element("line", x1=across.start, x2=across.end, y1=y, y2=y, stroke=INK, stroke_width=0.8))
    return drawn
