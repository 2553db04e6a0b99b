"""The mixes of a sheet: ratio with names, the pour table with room for what was really poured, the guns."""

from __future__ import annotations

from dataclasses import dataclass

from sprayout_core.sheet import MixPart, PourLine, SprayReady
from sprayout_plugins.bench_sheet.pages import Pages
from sprayout_plugins.printing import BOLD, REGULAR, shorten, width, wrap, wrap_at_most

__all__ = ["mix"]

_NAME, _SMALL, _AMOUNT = 14.0, 10.5, 19.0
_MOST_LINES = 6


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where the columns of the pour table stand, in points from the left edge of the paper."""

    name: float
    name_room: float
    amount_end: float
    total_end: float
    poured: float
    lot: float
    end: float


def mix(pages: Pages, part: MixPart) -> None:
    """Draw one mix: head, pour table, then one line for each gun."""
    pages.heading(part.title, following=90)
    facts = " · ".join(text for text in (part.version, part.status) if text)
    pages.text(facts, REGULAR, _SMALL)
    pages.text(part.warning, BOLD, 13)
    if part.ratio:
        pages.y -= 2
        pages.text(part.ratio.glued(), BOLD, 15)
    else:
        pages.text("Its ratio has two answers: nothing to pour until one is chosen.", BOLD, 13)
    if part.body:
        pages.text(f"Body: {part.body}", REGULAR, 12)
    if part.pours:
        pages.text(f"Pour into: {part.cup}" if part.cup else "", REGULAR, 12)
        _pour_table(pages, part)
    for variant in part.spray_ready:
        _gun(pages, variant)


def _pour_table(pages: Pages, part: MixPart) -> None:
    columns = _columns(pages)
    pages.keep(80)
    _table_head(pages, columns)
    for line in part.pours[:-1]:
        _pour(pages, columns, line, following=0)
    _pour(pages, columns, part.pours[-1], following=55)
    if part.total:
        pages.text(f"Total {part.total}", BOLD, 13)
    pages.keep(30)
    pages.y -= 24
    for word, place, length in (("cup label", 0.0, 0.27), ("poured by", 0.34, 0.27), ("when", 0.68, 0.32)):
        x = pages.left + place * pages.room
        pages.put(x, pages.y, word, REGULAR, _SMALL)
        pages.blank(x + 58, pages.y - 2, length * pages.room - 58)
    pages.y -= 8


def _columns(pages: Pages) -> _Columns:
    left, right = pages.left, pages.right
    lot = right - 74
    poured = lot - 84
    total_end = poured - 12
    amount_end = total_end - 78
    return _Columns(left + 28, amount_end - left - 28 - 92, amount_end, total_end, poured, lot, right)


def _table_head(pages: Pages, columns: _Columns) -> None:
    pages.y -= 15
    y = pages.y + 3
    pages.put_right(columns.amount_end, y, "pour", REGULAR, _SMALL)
    pages.put_right(columns.total_end, y, "up to", REGULAR, _SMALL)
    pages.put(columns.poured, y, "really poured", REGULAR, _SMALL)
    pages.put(columns.lot, y, "lot", REGULAR, _SMALL)
    pages.rule(pages.y - 1, 0.6)


def _pour(pages: Pages, columns: _Columns, line: PourLine, following: float) -> None:
    """Draw one line; it goes to the next page when it and `following` points do not fit on this one."""
    wide = columns.poured - columns.name - 12
    names = wrap_at_most(_MOST_LINES, line.name, BOLD, _NAME, columns.name_room)
    below: list[str] = []
    if line.strain:
        below += wrap(f"strain {line.strain}", REGULAR, _SMALL, wide)
    warned = wrap_at_most(_MOST_LINES, line.warning, BOLD, _SMALL, wide)
    height = max(38.0, 14 + max(len(names) * 17.5, 21.0) + (len(below) + len(warned)) * 13.5)
    if pages.keep(height + following):
        _table_head(pages, columns)
    top = pages.y
    pages.box(pages.left, top - 28, 17)
    y = top - 6
    for text in names:
        y -= 17.5
        pages.put(columns.name, y + 1, text, BOLD, _NAME)
    y = min(y - 2, top - 27)
    for face, texts in ((REGULAR, below), (BOLD, warned)):
        for text in texts:
            y -= 13.5
            pages.put(columns.name, y + 1, text, face, _SMALL)
    _put_amount(pages, columns.amount_end, top - 25, f"{line.amount} {line.unit}", 88)
    if line.total:
        _put_plain(pages, columns.total_end, top - 25, f"{line.total} {line.unit}", 74)
    pages.blank(columns.poured, top - 28, columns.lot - columns.poured - 10)
    if line.lot:
        pages.put(columns.lot, top - 25, shorten(line.lot, REGULAR, 11, columns.end - columns.lot), REGULAR, 11)
    else:
        pages.blank(columns.lot, top - 28, columns.end - columns.lot)
    pages.y = top - height
    pages.rule(pages.y, 0.3)


def _put_amount(pages: Pages, end: float, y: float, text: str, room: float) -> None:
    pages.put_right(end, y, text, BOLD, _largest(text, BOLD, _AMOUNT, room))


def _put_plain(pages: Pages, end: float, y: float, text: str, room: float) -> None:
    pages.put_right(end, y, text, REGULAR, _largest(text, REGULAR, 14.5, room))


def _largest(text: str, face: str, size: float, room: float) -> float:
    """Return the size at which a number fits whole: an amount is made smaller, never cut."""
    return min(size, size * room / max(width(text, face, size), 1.0))


def _gun(pages: Pages, variant: SprayReady) -> None:
    facts = wrap(" · ".join(variant.facts()), REGULAR, 13, pages.room - 28)
    gun = wrap_at_most(2, variant.gun, BOLD, 13, pages.room - 28)
    pages.keep(14 + 18 * (len(gun) + min(len(facts), 8)))
    pages.y -= 8
    pages.box(pages.left, pages.y - 17, 15)
    for text in gun:
        pages.y -= 17
        pages.put(pages.left + 28, pages.y + 4, text, BOLD, 13)
    for text in facts:
        pages.keep(18)
        pages.y -= 17
        pages.put(pages.left + 28, pages.y + 4, text, REGULAR, 13)
