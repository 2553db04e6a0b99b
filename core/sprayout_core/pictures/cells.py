"""A grid of predicted colours: each with how far it may be off, and hatched where it rests on nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sprayout_core.pictures.svg import INK, PALE, PictureError, colour, element, framed, room, words

__all__ = ["Cell", "cells"]

_HIGH, _TOP, _LINE, _GAP = 58.0, 66.0, 14.0, 14.0
_LEAST = 96.0
_EDGE = 0.16
"""Share of a cell's width that each end of what it may be takes."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: a predicted colour, or what it rests on nothing for.

    colour    #rrggbb; empty where nothing is predicted
    ends      the two colours (#rrggbb) between which it will lie, shown at its left and right edge
    told      lines under it, in words first
    hatched   why it rests on nothing, or nothing: a hatched cell
    """

    colour: str = ""
    ends: tuple[str, str] | None = None
    told: tuple[str, ...] = ()
    hatched: str = ""


def cells(
    rows: Sequence[tuple[str, Sequence[Cell]]],
    columns: Sequence[str],
    title: str = "Predicted",
    notes: Sequence[str] = (),
) -> str:
    """Return the picture of a grid: named rows of cells under named columns, notes beneath.

    raises  PictureError
    """
    if not rows or not columns:
        raise PictureError("nothing to draw", "Give at least one row and one column.", place="rows")
    for name, row in rows:
        if len(row) != len(columns):
            raise PictureError(f"{len(row)} cells under {len(columns)} columns", "Give as many of both.", place=name)
    left = 24.0 + room(name for name, _ in rows)
    wide = max(_LEAST, 8.0 + 0.85 * room([*columns, *(text for _, row in rows for one in row for text in one.told)]))
    drawn = [_hatching()]
    drawn += [words(left + place * wide + 2, _TOP - 10, name) for place, name in enumerate(columns)]
    top = _TOP
    for name, row in rows:
        drawn.append(words(left - 10, top + _HIGH / 2 + 4, name, text_anchor="end", font_weight="600"))
        for place, one in enumerate(row):
            drawn += _drawn(one, left + place * wide, top, wide - 6, f"{name}, {columns[place]}")
        top += _HIGH + _LINE * max(len(one.told) for one in row) + _GAP
    for line in notes:
        drawn.append(words(12, top + 8, line, font_size=11))
        top += _LINE
    whole = max(left + wide * len(columns) + 12, 24 + 0.92 * room(notes), 24 + 1.25 * room([title]))
    return framed(whole, top + 12, title, "; ".join(_said(rows, columns)), drawn)


def _hatching() -> str:
    """Dark lines beside light ones, so that they show on any colour."""
    lines = "".join(
        element("path", d=f"M{at},8 L{8 + at},0 M{at - 8},8 L{at},0", stroke=ink, stroke_width=1.2)
        for at, ink in ((0, INK), (1.6, "#ffffff"))
    )
    pattern = element("pattern", lines, id="hatch", width=8, height=8, patternUnits="userSpaceOnUse")
    return element("defs", pattern)


def _drawn(one: Cell, x: float, top: float, wide: float, place: str) -> list[str]:
    drawn = []
    if one.colour:
        drawn.append(element("rect", x=x, y=top, width=wide, height=_HIGH, fill=colour(one.colour, place)))
    if one.colour and one.ends:
        edge = wide * _EDGE
        for at, end in zip((x, x + wide - edge), one.ends, strict=True):
            drawn.append(element("rect", x=at, y=top, width=edge, height=_HIGH, fill=colour(end, place)))
    if one.hatched:
        drawn.append(element("rect", x=x, y=top, width=wide, height=_HIGH, fill="url(#hatch)"))
    drawn.append(element("rect", x=x, y=top, width=wide, height=_HIGH, fill="none", stroke=PALE))
    drawn += [words(x + 2, top + _HIGH + _LINE * (1 + line), text, font_size=11) for line, text in enumerate(one.told)]
    return drawn


def _said(rows: Sequence[tuple[str, Sequence[Cell]]], columns: Sequence[str]) -> list[str]:
    return [
        f"{name}, {column}: {', '.join(one.told) if not one.hatched else f'rests on nothing, {one.hatched}'}"
        for name, row in rows
        for column, one in zip(columns, row, strict=True)
    ]
