"""The code of a sheet or label as a QR symbol (ISO/IEC 18004), drawn as exact squares."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from sprayout_core.sheet import Code

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

__all__ = ["dark_runs", "draw_code", "module_mm"]

_QUIET = 4  # light squares on every side, ISO/IEC 18004
_POINTS_PER_MM = 72 / 25.4


def draw_code(canvas: Canvas, code: Code, left: float, bottom: float, side: float) -> None:
    """Draw the code with its quiet zone into a square of `side` points.

    All dark squares are one path, so that no viewer leaves a light seam between two of them.
    """
    rows = _squares(code)
    step = side / (len(rows) + 2 * _QUIET)
    top = bottom + side - _QUIET * step
    path = canvas.beginPath()
    for row, line in enumerate(rows):
        for start, length in _runs(line):
            path.rect(left + (_QUIET + start) * step, top - (row + 1) * step, length * step, step)
    canvas.saveState()
    canvas.setFillGray(1)
    canvas.rect(left, bottom, side, side, stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()


def module_mm(code: Code, side: float) -> float:
    """Return how large one square of the code is, in mm, when it is drawn into `side` points."""
    return side / (len(_squares(code)) + 2 * _QUIET) / _POINTS_PER_MM


def dark_runs(code: Code) -> tuple[int, list[tuple[int, int, int]]]:
    """Return how many squares the code is wide, quiet zone included, and its dark runs: column, row, length."""
    rows = _squares(code)
    runs = [(_QUIET + start, _QUIET + row, length) for row, line in enumerate(rows) for start, length in _runs(line)]
    return len(rows) + 2 * _QUIET, runs


@lru_cache(maxsize=16)
def _squares(code: Code) -> tuple[bytearray, ...]:
    import segno

    return tuple(segno.make_qr(code.qr_text, error="m").matrix)


def _runs(line: bytearray) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for place, dark in enumerate(line):
        if not dark:
            continue
        if runs and sum(runs[-1]) == place:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((place, 1))
    return runs
