"""Drawing the frame: marks, outlines, hatched windows, grey strips and a line to check the size by."""

from __future__ import annotations

import io
from itertools import groupby
from typing import Any

from sprayout_core.card import Frame, Rect, Window
from sprayout_plugins.card_frame.marks import mark_modules

__all__ = ["frame_pdf"]

_MM = 72.0 / 25.4
_GREY = 0.5
_HATCH_GREY = 0.45
_HATCH_LINE = 0.6
_HATCH_STEP = 4.0


def frame_pdf(frame: Frame) -> bytes:
    """Return the frame as a one-page PDF of exactly the sheet's size; the same bytes every time.

    Empty windows are hatched, so that a window with nothing in it is never taken for a white piece.
    """
    from reportlab.pdfgen.canvas import Canvas

    from sprayout_plugins.printing import ready

    ready()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(frame.width * _MM, frame.height * _MM), invariant=1)
    canvas.setTitle(f"Card frame {frame.identity}")
    canvas.setViewerPreference("PrintScaling", "None")
    # from here on millimetres; y still runs upward, so every place is turned where it is drawn
    canvas.scale(_MM, _MM)
    page = _Page(canvas, frame.height)
    for corner, rect in frame.marks().items():
        page.mark(frame.mark_text(corner), rect)
    page.mark(frame.identity_text(), frame.identity_mark())
    _heading(page, frame)
    for window in frame.windows:
        _window(page, window)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


class _Page:
    """A canvas in millimetres from the top left."""

    def __init__(self, canvas: Any, height: float) -> None:
        self.canvas = canvas
        self._height = height

    def fill(self, rect: Rect, grey: float) -> None:
        self.canvas.setFillGray(grey)
        self.canvas.rect(rect.x, self._up(rect), rect.width, rect.height, stroke=0, fill=1)

    def outline(self, rect: Rect, line: float) -> None:
        # drawn outside the rectangle, so that the window itself keeps its size
        around = rect.grown(line / 2)
        self.canvas.setStrokeGray(0.0)
        self.canvas.setLineWidth(line)
        self.canvas.rect(around.x, self._up(around), around.width, around.height, stroke=1, fill=0)

    def line(self, x1: float, y1: float, x2: float, y2: float, width: float) -> None:
        self.canvas.setLineWidth(width)
        self.canvas.line(x1, self._height - y1, x2, self._height - y2)

    def text(self, x: float, y: float, text: str, size: float, room: float) -> None:
        """Set one line whose foot stands at y; size and room in mm."""
        from sprayout_plugins.printing import REGULAR, shorten

        self.canvas.setFillGray(0.0)
        self.canvas.setFont(REGULAR, size)
        self.canvas.drawString(x, self._height - y, shorten(text, REGULAR, size, room))

    def mark(self, text: str, rect: Rect) -> None:
        rows = mark_modules(text)
        module = rect.width / len(rows)
        path = self.canvas.beginPath()
        for row, line in enumerate(rows):
            column = 0
            for dark, run in groupby(line):
                length = len(list(run))
                if dark:
                    place = Rect(rect.x + column * module, rect.y + row * module, length * module, module)
                    path.rect(place.x, self._up(place), place.width, place.height)
                column += length
        self.canvas.setFillGray(0.0)
        self.canvas.drawPath(path, stroke=0, fill=1)

    def hatch(self, rect: Rect) -> None:
        """Draw slanting lines inside the rectangle."""
        self.canvas.saveState()
        clip = self.canvas.beginPath()
        clip.rect(rect.x, self._up(rect), rect.width, rect.height)
        self.canvas.clipPath(clip, stroke=0, fill=0)
        self.canvas.setStrokeGray(_HATCH_GREY)
        reach = rect.height
        for number in range(int((rect.width + reach) // _HATCH_STEP) + 1):
            foot = rect.x - reach + number * _HATCH_STEP
            self.line(foot, rect.y + rect.height, foot + reach, rect.y, _HATCH_LINE)
        self.canvas.restoreState()

    def _up(self, rect: Rect) -> float:
        return self._height - rect.y - rect.height


def _heading(page: _Page, frame: Frame) -> None:
    place = frame.heading()
    page.text(place.x, place.y + 4.0, f"Card frame {frame.identity}", 4.0, place.width)
    told = "Print at 100 %, never fitted to the page. The line below is 100 mm long."
    page.text(place.x, place.y + 8.0, told, 2.4, place.width)
    page.canvas.setStrokeGray(0.0)
    foot = place.y + place.height - 0.5
    page.line(place.x, foot, place.x + 100.0, foot, 0.2)
    for centimetre in range(11):
        tick = 2.5 if centimetre % 5 == 0 else 1.5
        page.line(place.x + 10.0 * centimetre, foot, place.x + 10.0 * centimetre, foot - tick, 0.2)


def _window(page: _Page, window: Window) -> None:
    taken = window.taken()
    page.text(window.rect.x, taken.y + 3.4, _caption(window), 2.6, window.rect.width)
    for strip in window.strips:
        page.fill(strip, _GREY)
    for label, cell in window.cells().items():
        page.hatch(cell.inset(0.94))
        wide = min(1.4 * len(label) + 2.0, cell.width - 2.0)
        plate = Rect(cell.x + (cell.width - wide) / 2, cell.y + cell.height - 4.0, wide, 3.2)
        page.fill(plate, 1.0)
        page.text(plate.x + 0.3, plate.y + 2.4, label, 2.0, plate.width - 0.6)
    page.outline(window.rect, 0.25)


def _caption(window: Window) -> str:
    told = {
        "reference": "known colours",
        "samples": "to be measured: fill the cell from edge to edge",
        "steps": "step card, bare ground at the left: fill the window from end to end",
        "contrast": "black left, white right",
    }
    return f"{window.name}  -  {told[window.kind]}"
