"""Pictures of what was predicted, as SVG text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_library.film.telling import to_spray
from sprayout_library.film.words import counted_coats

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sprayout_core.pictures import Cell
    from sprayout_library.film.ladders import Ladder
    from sprayout_library.film.looks import Look, Shade

__all__ = ["draw_ladder", "draw_look"]

_EDGES = "The edges of a cell show how far off it may be, 95 times in 100; +- is the same in dE00."
_HATCHED = "Hatched: rests on nothing. Spray this panel:"
_WIDEST = 110


def draw_look(look: Look) -> str:
    """Return the picture of a grid: grounds by coats."""
    from sprayout_core.pictures import cells

    rows = [(row[0].ground, [_cell(one) for one in row]) for row in look.rows]
    columns = [counted_coats(one.coats) for one in look.rows[0]]
    notes = [_EDGES, *_to_spray(one for row in look.rows for one in row)]
    return cells(rows, columns, f"{look.name}, predicted at {look.geometry}, {look.view}", notes)


def draw_ladder(ladder: Ladder) -> str:
    """Return the picture of a ladder: coats by ratios, side by side."""
    from sprayout_core.pictures import cells

    rows = [
        (counted_coats(one.coats), [_cell(rung.shades[place]) for rung in ladder.rungs])
        for place, one in enumerate(ladder.rungs[0].shades)
    ]
    title = f"{ladder.first} to {ladder.second} over {ladder.ground}, predicted at {ladder.geometry}, {ladder.view}"
    notes = [_EDGES, *_to_spray(one for rung in ladder.rungs for one in rung.shades)]
    return cells(rows, [rung.ratio for rung in ladder.rungs], title, notes)


def _cell(one: Shade) -> Cell:
    from sprayout_core.pictures import Cell

    if one.lab is None or one.interval is None:
        return Cell(hatched=one.hatched, told=("rests on nothing",))
    lightness, redness, yellowness = (round(value) for value in one.lab)
    told = (
        one.said,
        f"L* {lightness}  a* {redness}  b* {yellowness}",
        f"{'a guess, ' if one.hatched else ''}+- {one.interval:.1f}{'' if one.in_gamut else ', beyond a screen'}",
    )
    return Cell(one.colour, one.ends, told, one.hatched)


def _to_spray(shades: Iterable[Shade]) -> Sequence[str]:
    reasons = to_spray(shades)
    if not reasons:
        return []
    lines = [_HATCHED]
    for reason in reasons:
        line = " "
        for word in reason.split():
            if len(line) + len(word) > _WIDEST:
                lines.append(line)
                line = "   "
            line += f" {word}"
        lines.append(line)
    return lines
