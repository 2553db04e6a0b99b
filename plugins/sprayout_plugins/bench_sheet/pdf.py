"""The bench sheet as PDF: read at arm's length, ticked with a pen, with room for what was really poured."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from sprayout_core.sheet import DEFER, BenchSheet, CautionBlock, TwoAnswers
from sprayout_plugins.bench_sheet.coats import coats
from sprayout_plugins.bench_sheet.pages import Pages, Paper
from sprayout_plugins.bench_sheet.pouring import mix
from sprayout_plugins.printing import (
    BOLD,
    REGULAR,
    draw_code,
    printable,
    ready,
    shorten,
    unprintable,
    wrap,
    wrap_at_most,
)

__all__ = ["sheet_pdf"]

_CODE_SIDE = 84.0


def sheet_pdf(sheet: BenchSheet, paper: Paper) -> bytes:
    """Return the sheet as PDF; the same sheet on the same paper gives the same bytes.

    The pages are laid out twice: once to count them, once with "page 1 of 3" in the foot.
    """
    _, total = _laid_out(sheet, paper, total=0)
    content, _ = _laid_out(sheet, paper, total)
    return content


def _laid_out(sheet: BenchSheet, paper: Paper, total: int) -> tuple[bytes, int]:
    from reportlab.pdfgen.canvas import Canvas

    ready()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=paper.value, invariant=1, pageCompression=1)
    canvas.setTitle(printable(sheet.title))
    foot = " · ".join(text for text in (sheet.version, sheet.code.short, sheet.printed, sheet.title) if text)
    pages = Pages(canvas, paper, sheet.title, foot, total)
    _head(pages, sheet)
    _open_questions(pages, sheet.open_questions())
    for part in sheet.mixes:
        mix(pages, part)
    if sheet.steps:
        coats(pages, sheet)
    _cautions(pages, sheet.cautions)
    _notes(pages, sheet)
    _room_to_write(pages)
    canvas.save()
    return buffer.getvalue(), pages.number


def _head(pages: Pages, sheet: BenchSheet) -> None:
    top = pages.y
    draw_code(pages.canvas, sheet.code, pages.right - _CODE_SIDE + 8, top - _CODE_SIDE + 8, _CODE_SIDE)
    room = pages.room - _CODE_SIDE - 10
    for line in wrap_at_most(4, sheet.title, BOLD, 25, room):
        pages.y -= 29
        pages.put(pages.left, pages.y + 6, line, BOLD, 25)
    for text, face in ((", ".join(filter(None, (sheet.version, sheet.status))), BOLD), (sheet.shop, REGULAR)):
        for line in wrap_at_most(2, text, face, 12, room):
            pages.y -= 17
            pages.put(pages.left, pages.y + 4, line, face, 12)
    pages.y -= 15
    printed = shorten(f"{sheet.code.short}  {sheet.printed}", REGULAR, 9.5, room)
    pages.put(pages.left, pages.y + 4, printed, REGULAR, 9.5)
    pages.y = min(pages.y, top - _CODE_SIDE + 6)
    said = unprintable(_texts(sheet))
    if said:
        pages.text(said, REGULAR, 9.5)
    for name in sheet.missing:
        pages.text(f"Not found here: {name}", BOLD, 12)


def _open_questions(pages: Pages, questions: tuple[TwoAnswers, ...]) -> None:
    if not questions:
        return
    pages.keep(70)
    pages.y -= 30
    pages.canvas.setFillGray(0)
    pages.canvas.rect(pages.left, pages.y, pages.room, 24, stroke=0, fill=1)
    pages.canvas.setFillGray(1)
    pages.put(pages.left + 8, pages.y + 7, "TWO ANSWERS OPEN: choose before spraying", BOLD, 14)
    pages.canvas.setFillGray(0)
    pages.y -= 2
    for question in questions:
        pages.text(question.about, BOLD, 12.5, indent=8)
        for answer in question.answers:
            pages.text(f"{answer.by}: {answer.says}", REGULAR, 12.5, indent=22)


def _cautions(pages: Pages, cautions: tuple[CautionBlock, ...]) -> None:
    pages.heading("Cautions", following=110)
    for caution in cautions:
        by = f" ({', '.join(caution.carried_by)})" if caution.carried_by else ""
        lines = sum(len(wrap(text, REGULAR, 11, pages.room - 10)) for text in caution.sentences)
        pages.keep(min(25 + lines * 15, 260))
        pages.y -= 3
        pages.text(caution.about + (by if caution.carried_by != (caution.about,) else ""), BOLD, 12)
        for sentence in caution.sentences:
            pages.text(sentence, REGULAR, 11, indent=10)
    pages.y -= 5
    pages.text(DEFER, BOLD, 11)


def _notes(pages: Pages, sheet: BenchSheet) -> None:
    if not sheet.notes:
        return
    pages.heading("Notes", following=20)
    for note in sheet.notes:
        pages.text(note, REGULAR, 12)
        pages.y -= 3


def _room_to_write(pages: Pages) -> None:
    pages.heading("As it was done", following=120)
    pages.y -= 22
    column = pages.room / 4
    for place, word in enumerate(("date", "by", "booth °C", "humidity %")):
        x = pages.left + place * column
        pages.put(x, pages.y, word, REGULAR, 10.5)
        pages.blank(x + 66, pages.y - 2, column - 74)
    for _ in range(3):
        pages.y -= 28
        pages.blank(pages.left, pages.y, pages.room)


def _texts(value: object) -> Iterator[str]:
    """Give every text of a record, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _texts(item)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _texts(getattr(value, field.name))
