"""Two ready card frames: one for a step card and a piece beside it, one for many pieces at once."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_core.card.layout import GAP, STRIP, Frame, Rect, Window, WindowKind

__all__ = ["PAPERS", "samples_frame", "step_frame"]

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Sheets that the ready frames fit on, mm (ISO 216; ANSI/ASME Y14.1 size A)."""

_TOP = 36.0


def step_frame(identity: str, coats: Sequence[str] = ("0", "1", "2", "3", "4", "6"), paper: str = "A4") -> Frame:
    """Return a frame for a step card, a piece, a black-and-white card, a reference target and own chips.

    identity  4 to 8 capital letters and digits
    coats     one label per step, the bare ground first
    paper     a name in PAPERS
    """
    width, height = PAPERS[paper]
    return Frame(
        identity,
        width,
        height,
        (
            *_known(width),
            _strips(Window("step card", WindowKind.STEPS, Rect(20, 134, 170, 30), 1, len(coats), tuple(coats))),
            _strips(Window("piece", WindowKind.SAMPLES, Rect(20, 188, 80, 38), 1, 1, ("piece",))),
            Window(
                "black and white",
                WindowKind.CONTRAST,
                Rect(112, 188, 78, 38),
                1,
                2,
                ("over black", "over white"),
            ),
        ),
    )


def samples_frame(identity: str, rows: int = 5, columns: int = 9, paper: str = "A4") -> Frame:
    """Return a frame for a reference target, own chips and rows x columns pieces (45 of 20 x 22 mm)."""
    width, height = PAPERS[paper]
    window = Window("pieces", WindowKind.SAMPLES, Rect(15, 130, 180, 110), rows, columns, _grid_labels(rows, columns))
    return Frame(identity, width, height, (*_known(width), window))


def _known(width: float) -> tuple[Window, Window]:
    chips = tuple(f"chip {number}" for number in range(1, 9))
    return (
        Window("target", WindowKind.REFERENCE, Rect(15, _TOP, 120, 80), 4, 6, _grid_labels(4, 6)),
        Window("own chips", WindowKind.REFERENCE, Rect(width - 65, _TOP, 50, 80), 4, 2, chips),
    )


def _grid_labels(rows: int, columns: int) -> tuple[str, ...]:
    return tuple(f"{chr(65 + row)}{column + 1}" for row in range(rows) for column in range(columns))


def _strips(window: Window) -> Window:
    rect = window.rect
    strips = (
        Rect(rect.x, rect.y - GAP - STRIP, rect.width, STRIP),
        Rect(rect.x, rect.y + rect.height + GAP, rect.width, STRIP),
    )
    return Window(window.name, window.kind, rect, window.rows, window.columns, window.labels, strips)
