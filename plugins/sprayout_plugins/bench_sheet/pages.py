"""Pages that fill from the top: a cursor, breaks where the next block would not fit, head and foot."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from sprayout_plugins.printing import BOLD, REGULAR, shorten, width, wrap

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

__all__ = ["MARGIN", "Pages", "Paper"]

MARGIN = 40.0
_FOOT = 30.0
_HEAD = 24.0


class Paper(Enum):
    """Paper sizes, in points: A4 (ISO 216) and US letter (ANSI A)."""

    A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)
    LETTER = (8.5 * 72, 11 * 72)


class Pages:
    """Draws lines, boxes and texts at a cursor that runs down the page; positions are in points.

    total  how many pages there will be, for the foot; 0 while that is being counted
    """

    def __init__(self, canvas: Canvas, paper: Paper, title: str, foot: str, total: int) -> None:
        self.canvas = canvas
        self.width, self.height = paper.value
        self.left, self.right = MARGIN, self.width - MARGIN
        self.room = self.right - self.left
        self.number = 1
        self.y = self.height - MARGIN
        self._title, self._foot, self._total = title, foot, total
        self._draw_foot()

    def keep(self, height: float) -> bool:
        """Go to a new page when less than `height` is left, and say whether that was done."""
        if self.y - height >= MARGIN + _FOOT:
            return False
        self.canvas.showPage()
        self.number += 1
        self.y = self.height - MARGIN
        self._draw_foot()
        self.canvas.setFont(BOLD, 10)
        self.canvas.drawString(self.left, self.y - 9, shorten(f"{self._title} (continued)", BOLD, 10, self.room))
        self.rule(self.y - 15, 0.6)
        self.y -= _HEAD
        return True

    def text(self, text: str, face: str, size: float, indent: float = 0.0) -> None:
        """Write a text in wrapped lines that may run over to the next page."""
        for line in wrap(text, face, size, self.room - indent):
            self.keep(size * 1.35)
            self.y -= size * 1.35
            self.put(self.left + indent, self.y + size * 0.3, line, face, size)

    def put(self, x: float, y: float, line: str, face: str, size: float) -> None:
        """Write one line that is known to fit."""
        self.canvas.setFont(face, size)
        self.canvas.drawString(x, y, line)

    def put_right(self, x: float, y: float, line: str, face: str, size: float) -> None:
        """Write one line that ends at `x`."""
        self.put(x - width(line, face, size), y, line, face, size)

    def heading(self, text: str, following: float) -> None:
        """Write a heading over a rule, on the page where `following` points of what it heads still fit."""
        lines = wrap(text, BOLD, 17, self.room)
        self.keep(len(lines) * 22 + 16 + following)
        self.y -= 10
        for line in lines:
            self.y -= 22
            self.put(self.left, self.y + 5, line, BOLD, 17)
        self.rule(self.y, 1.4)
        self.y -= 6

    def rule(self, y: float, weight: float) -> None:
        """Draw a line over the whole width."""
        self.canvas.setLineWidth(weight)
        self.canvas.line(self.left, y, self.right, y)

    def blank(self, x: float, y: float, length: float) -> None:
        """Draw a line to write on."""
        self.canvas.setLineWidth(0.7)
        self.canvas.line(x, y, x + length, y)

    def box(self, x: float, y: float, side: float) -> None:
        """Draw a tick box with its lower left corner at x, y."""
        self.canvas.setLineWidth(1.3)
        self.canvas.rect(x, y, side, side, stroke=1, fill=0)

    def dashed_box(self, x: float, y: float, side: float) -> None:
        """Draw a tick box for something that may not be needed."""
        self.canvas.saveState()
        self.canvas.setDash(2.2, 2.2)
        self.canvas.setLineWidth(0.9)
        self.canvas.rect(x, y, side, side, stroke=1, fill=0)
        self.canvas.restoreState()

    def _draw_foot(self) -> None:
        number = f"page {self.number} of {self._total}" if self._total else ""
        self.rule(MARGIN + 16, 0.6)
        room = self.room - width(number, REGULAR, 8.5) - 12
        self.put(self.left, MARGIN + 5, shorten(self._foot, REGULAR, 8.5, room), REGULAR, 8.5)
        self.put_right(self.right, MARGIN + 5, number, REGULAR, 8.5)
