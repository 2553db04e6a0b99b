"""Labels as PDF: whole sheets on a grid, or one label a page."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError
from sprayout_core.sheet import LabelText
from sprayout_plugins.panel_label.grid import LabelGrid
from sprayout_plugins.printing import BOLD, REGULAR, draw_code, module_mm, ready, wrap, wrap_at_most

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

__all__ = ["LabelSpaceError", "labels_pdf"]

_MM = 72 / 25.4
_PAD = 1.8 * _MM
_LEAST_MODULE_MM = 0.33  # what a phone still reads from an office printer
_LARGEST, _SMALLEST, _STEP = 11.0, 5.5, 0.5
_CAUTION_LEAST = 5.0
_LEADING = 1.18


class LabelSpaceError(SprayoutError):
    """A label too small for its code or its caution."""


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    face: str
    size: float


@dataclass(frozen=True, slots=True)
class _Area:
    """A rectangle in points, from its upper left corner."""

    left: float
    top: float
    width: float
    height: float


def labels_pdf(labels: Sequence[LabelText], grid: LabelGrid, used: int = 0) -> bytes:
    """Return the labels as PDF; the same labels on the same grid give the same bytes.

    used    how many places of the first sheet are already gone
    raises  LabelSpaceError where there is no label, no such place, or a label has no room for its code or
            its caution; then nothing is printed
    """
    from reportlab.pdfgen.canvas import Canvas

    if not labels:
        raise LabelSpaceError("no labels to print", "Name at least one cup or panel.", place="labels")
    if not 0 <= used < grid.places:
        remedy = f"Give 0 to {grid.places - 1}."
        raise LabelSpaceError(f"{used} places used of {grid.places}", remedy, place="labels/used")
    ready()
    buffer = io.BytesIO()
    page = (grid.paper_width * _MM, grid.paper_height * _MM)
    canvas = Canvas(buffer, pagesize=page, invariant=1, pageCompression=1)
    canvas.setTitle("labels")
    for number, label in enumerate(labels, start=used):
        place = number % grid.places
        if place == 0 and number > used:
            canvas.showPage()
        left, top = grid.corner(place)
        area = _Area(left * _MM, page[1] - top * _MM, grid.width * _MM, grid.height * _MM)
        _label(canvas, label, area)
    canvas.save()
    return buffer.getvalue()


def _label(canvas: Canvas, label: LabelText, area: _Area) -> None:
    code, text = _parts(area)
    if module_mm(label.code, code.width) < _LEAST_MODULE_MM:
        raise LabelSpaceError(
            f"{area.width / _MM:g} x {area.height / _MM:g} mm is too small for a code a phone can read",
            "Use a label of at least 36 x 18 mm.",
            place=f"labels/{label.title}",
        )
    draw_code(canvas, label.code, code.left, code.top - code.height, code.width)
    y = text.top
    lines, caution = _set(label, text)
    for line in lines:
        y -= line.size * _LEADING
        canvas.setFont(line.face, line.size)
        canvas.drawString(text.left, y + line.size * 0.22, line.text)
    y = text.top - text.height + sum(line.size * _LEADING for line in caution)
    for line in caution:
        y -= line.size * _LEADING
        canvas.setFont(line.face, line.size)
        canvas.drawString(text.left, y + line.size * 0.22, line.text)


def _parts(area: _Area) -> tuple[_Area, _Area]:
    """Return where code and text go: side by side on a wide label, one under the other on a narrow one."""
    if area.width >= 1.25 * area.height:
        side = min(area.height - _PAD, 26 * _MM, area.width * 0.45)
        text_left = area.left + side + _PAD / 2
        code = _Area(area.left + _PAD / 2, area.top - (area.height - side) / 2, side, side)
        return code, _Area(
            text_left, area.top - _PAD, area.left + area.width - _PAD - text_left, area.height - 2 * _PAD
        )
    side = min(area.width - _PAD, area.height * 0.45, 28 * _MM)
    code = _Area(area.left + (area.width - side) / 2, area.top - _PAD / 2, side, side)
    below = side + _PAD / 2
    return code, _Area(area.left + _PAD, area.top - below, area.width - 2 * _PAD, area.height - below - _PAD)


def _set(label: LabelText, area: _Area) -> tuple[list[_Line], list[_Line]]:
    """Return the lines and the caution at the largest size at which all of it fits, else visibly shortened.

    The caution is never shortened: without room for it there is no label.
    """
    size = _LARGEST
    while size >= _SMALLEST:
        caution = _caution(label, area, max(_CAUTION_LEAST, size * 0.8))
        lines = _lines(label, area, size)
        gap = size * 0.4 if caution else 0.0
        if _height(lines) + gap + _height(caution) <= area.height:
            return lines, caution
        size -= _STEP
    caution = _caution(label, area, _CAUTION_LEAST)
    room = area.height - _height(caution)
    lines = _shortened(label, area, room)
    if not lines or _height(lines) > room:
        raise LabelSpaceError(
            "the caution does not fit beside the title", "Use a larger label.", place=f"labels/{label.title}"
        )
    return lines, caution


def _lines(label: LabelText, area: _Area, size: float) -> list[_Line]:
    found = [_Line(text, BOLD, size * 1.7) for text in wrap(label.mark, BOLD, size * 1.7, area.width)]
    found += [_Line(text, BOLD, size) for text in wrap(label.title, BOLD, size, area.width)]
    for line in (*label.lines, f"{label.thing} {label.code.short}"):
        found += [_Line(text, REGULAR, size * 0.9) for text in wrap(line, REGULAR, size * 0.9, area.width)]
    return found


def _shortened(label: LabelText, area: _Area, room: float) -> list[_Line]:
    """Return mark, title and as many facts as fit; what is left out is counted on the label."""
    size = _SMALLEST
    found = [_Line(text, BOLD, size * 1.5) for text in wrap_at_most(1, label.mark, BOLD, size * 1.5, area.width)]
    found += [_Line(text, BOLD, size) for text in wrap_at_most(2, label.title, BOLD, size, area.width)]
    facts = [wrap_at_most(1, fact, REGULAR, size, area.width) for fact in label.lines]
    lines = [_Line(text, REGULAR, size) for texts in facts for text in texts]
    for place, line in enumerate(lines):
        after = 0.0 if place == len(lines) - 1 else size * _LEADING
        if _height([*found, line]) + after > room:
            said = f"… {len(lines) - place} more on the sheet"
            return [*found, *(_Line(text, REGULAR, size) for text in wrap(said, REGULAR, size, area.width))]
        found.append(line)
    return found


def _caution(label: LabelText, area: _Area, size: float) -> list[_Line]:
    return [_Line(text, BOLD, size) for text in wrap(label.caution, BOLD, size, area.width)]


def _height(lines: Sequence[_Line]) -> float:
    return sum(line.size * _LEADING for line in lines)
