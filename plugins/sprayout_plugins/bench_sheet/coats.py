"""The coat schedule of a sheet: grounds, then one block of tick boxes for every line of coats."""

from __future__ import annotations

from sprayout_core.sheet import BenchSheet, Boxes, Step
from sprayout_plugins.bench_sheet.pages import Pages
from sprayout_plugins.printing import BOLD, REGULAR, wrap, wrap_at_most

__all__ = ["coats"]

_SIDE, _GAP = 21.0, 7.0
_PIECE_ROOM = 150.0


def coats(pages: Pages, sheet: BenchSheet) -> None:
    """Draw the grounds and every coat line with its boxes, one row for each piece where pieces are named."""
    pages.heading("Coats", following=100)
    for ground in sheet.grounds:
        lines = wrap(f"over {ground}", REGULAR, 13, pages.room - 28)
        pages.keep(8 + 17 * len(lines))
        pages.y -= 6
        pages.box(pages.left, pages.y - 15, 14)
        for line in lines:
            pages.y -= 17
            pages.put(pages.left + 28, pages.y + 4, line, REGULAR, 13)
    for number, step in enumerate(sheet.steps, start=1):
        _step(pages, number, step, sheet.pieces)
    if any(step.two_answers is None and step.tick_boxes().maybe for step in sheet.steps):
        pages.y -= 4
        pages.text("Dashed boxes: only if it needs them. Look before each one.", REGULAR, 10.5)


def _step(pages: Pages, number: int, step: Step, pieces: tuple[str, ...]) -> None:
    title = wrap(f"{number}. {step.what if step.two_answers else step.said()}", BOLD, 15, pages.room)
    pages.keep(min(len(title), 5) * 19 + 70)
    pages.y -= 10
    for line in title:
        pages.keep(20)
        pages.y -= 19
        pages.put(pages.left, pages.y + 5, line, BOLD, 15)
    facts = [step.role, step.version, step.gun, step.laid and f"laid {step.laid}"]
    facts += [step.film and f"{step.film} a coat", step.dry and f"{step.dry} between coats"]
    pages.text(" · ".join(fact for fact in facts if fact), REGULAR, 12)
    if step.two_answers:
        pages.text(f"Two answers, choose one: {step.two_answers}", BOLD, 12)
        return
    asked = step.tick_boxes()
    if not pieces:
        _row(pages, asked, pages.left)
    for piece in pieces:
        _piece(pages, piece, asked)


def _piece(pages: Pages, piece: str, asked: Boxes) -> None:
    pages.keep(_SIDE + _GAP + 4)
    lines, size = wrap(piece, REGULAR, 12.5, _PIECE_ROOM - 10), 12.5
    if len(lines) > 1:
        lines, size = wrap_at_most(2, piece, REGULAR, 10, _PIECE_ROOM - 10), 10
    y = pages.y - _SIDE + (1 if len(lines) == 1 else 6)
    for line in lines:
        pages.put(pages.left + 4, y, line, REGULAR, size)
        y -= size * 1.15
    _row(pages, asked, pages.left + _PIECE_ROOM)


def _row(pages: Pages, asked: Boxes, start: float) -> None:
    """Draw the boxes from `start`, in as many rows as they need; an open count ends in room for more."""
    x = start
    pages.keep(_SIDE + _GAP)
    pages.y -= _SIDE + _GAP
    for place in range(asked.sure + asked.maybe):
        if x + _SIDE > pages.right:
            pages.keep(_SIDE + _GAP)
            pages.y -= _SIDE + _GAP
            x = start
        draw = pages.box if place < asked.sure else pages.dashed_box
        draw(x, pages.y, _SIDE)
        x += _SIDE + _GAP
    word = "in all" if x + 92 <= pages.right else ""
    if word:
        pages.put_right(pages.right - 46, pages.y + 5, word, REGULAR, 10.5)
        pages.blank(pages.right - 42, pages.y + 2, 42)
