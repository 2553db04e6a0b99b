"""The card frame: a sheet with corner marks and windows, every place in millimetres from its top left."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from sprayout_core.errors import Fault, FaultsError

__all__ = ["CORNERS", "GAP", "MARK_QUIET", "STRIP", "Frame", "Rect", "Window", "WindowKind"]

CORNERS = ("TL", "TR", "BR", "BL")
"""The corner marks' names in drawing order: top left, top right, bottom right, bottom left."""

MARK_QUIET = 2.7
"""White border a corner mark needs, mm: four of its modules (ISO/IEC 18004)."""

STRIP = 5.0
"""Height of a printed grey strip, mm."""

GAP = 1.0
"""Distance between a window and its grey strip, mm."""

_CAPTION = 5.0
_MARK = 14.0
_MARGIN = 9.0
_IDENTITY_MARK = 18.0
_LABEL = re.compile(r"[^\x00-\x1f\x7f]{1,24}")


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle on the sheet, mm: left, top, width, height; y runs downward."""

    x: float
    y: float
    width: float
    height: float

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Top left, top right, bottom right, bottom left."""
        right, bottom = self.x + self.width, self.y + self.height
        return (self.x, self.y), (right, self.y), (right, bottom), (self.x, bottom)

    def grown(self, by: float) -> Rect:
        """Return the rectangle with `by` mm added on every side (negative: taken away)."""
        return Rect(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def inset(self, share: float) -> Rect:
        """Return the middle `share` (0 to 1) of each side."""
        dx, dy = self.width * (1 - share) / 2, self.height * (1 - share) / 2
        return Rect(self.x + dx, self.y + dy, self.width * share, self.height * share)

    def meets(self, other: Rect) -> bool:
        """Tell whether the two rectangles share any area."""
        return (
            self.x < other.x + other.width
            and other.x < self.x + self.width
            and self.y < other.y + other.height
            and other.y < self.y + self.height
        )

    def holds(self, other: Rect) -> bool:
        """Tell whether the other rectangle lies wholly inside this one."""
        return (
            self.x <= other.x
            and self.y <= other.y
            and other.x + other.width <= self.x + self.width
            and other.y + other.height <= self.y + self.height
        )


class WindowKind(StrEnum):
    """What is laid into a window."""

    REFERENCE = "reference"  # a reference target or own chips whose colours are known
    SAMPLES = "samples"  # pieces to be measured
    STEPS = "steps"  # a step card, steps side by side along the window
    CONTRAST = "contrast"  # one coat over black and over white, in this order


@dataclass(frozen=True, slots=True)
class Window:
    """One window: what belongs in it and how it is divided.

    name     its caption, unique on the frame
    kind     what is laid into it
    rect     mm
    rows, columns   its cells; steps and contrast windows have one row
    labels   one per cell, row by row; for steps the number of coats of each
    strips   grey strips of one printed grey: none, or one above and one below
    """

    name: str
    kind: WindowKind
    rect: Rect
    rows: int
    columns: int
    labels: tuple[str, ...]
    strips: tuple[Rect, ...] = ()

    def cells(self) -> Mapping[str, Rect]:
        """Return each label's cell, mm."""
        width, height = self.rect.width / self.columns, self.rect.height / self.rows
        return {
            label: Rect(
                self.rect.x + (place % self.columns) * width,
                self.rect.y + (place // self.columns) * height,
                width,
                height,
            )
            for place, label in enumerate(self.labels)
        }

    def taken(self) -> Rect:
        """Return what the window covers with strips and caption, mm."""
        around = [self.rect, *self.strips]
        left, top = min(r.x for r in around), min(r.y for r in around)
        right, bottom = max(r.x + r.width for r in around), max(r.y + r.height for r in around)
        return Rect(left, top - _CAPTION, right - left, bottom - top + _CAPTION)


@dataclass(frozen=True, slots=True)
class Frame:
    """A card frame: identity, sheet and windows.

    identity  4 to 8 capital letters and digits; printed, and in every mark
    width, height   of the sheet, mm
    windows   at least one
    raises    FaultsError with every fault of the layout
    """

    identity: str
    width: float
    height: float
    windows: tuple[Window, ...]

    def __post_init__(self) -> None:
        if faults := tuple(_faults(self)):
            raise FaultsError(faults)

    def marks(self) -> dict[str, Rect]:
        """Return the four corner marks, mm, by name."""
        right, bottom = self.width - _MARGIN - _MARK, self.height - _MARGIN - _MARK
        lefts_tops = ((_MARGIN, _MARGIN), (right, _MARGIN), (right, bottom), (_MARGIN, bottom))
        return {name: Rect(left, top, _MARK, _MARK) for name, (left, top) in zip(CORNERS, lefts_tops, strict=True)}

    def identity_mark(self) -> Rect:
        """Return the place of the mark that tells identity and layout, mm."""
        left = (self.width - _IDENTITY_MARK) / 2
        return Rect(left, self.height - _MARGIN - _IDENTITY_MARK, _IDENTITY_MARK, _IDENTITY_MARK)

    def mark_text(self, corner: str) -> str:
        """Return what a corner mark says."""
        return f"SO1:{corner}:{self.identity}"

    def identity_text(self) -> str:
        """Return what the identity mark says: identity, and the digest that tells one layout from another."""
        return f"SPRAYOUT-CARD:1:{self.identity}:{self.layout_digest()}"

    def layout_digest(self) -> str:
        """Return eight characters that differ when any measure or label of the layout differs."""
        told = [f"{self.width:.3f}x{self.height:.3f}"]
        for window in self.windows:
            rects = [window.rect, *window.strips]
            places = [f"{r.x:.3f},{r.y:.3f},{r.width:.3f},{r.height:.3f}" for r in rects]
            told.append("|".join([window.name, window.kind, *window.labels, str(window.columns), *places]))
        return hashlib.sha256("\n".join(told).encode()).hexdigest()[:8].upper()

    def window(self, name: str) -> Window:
        """Return one window by its name; KeyError where there is none."""
        return {window.name: window for window in self.windows}[name]

    def heading(self) -> Rect:
        """Return where title and ruler are printed, mm."""
        left = _MARGIN + _MARK + MARK_QUIET + 1.0
        return Rect(left, _MARGIN, self.width - 2 * left, _MARK)

    def bare(self, step: float = 6.0, size: float = 3.0) -> tuple[Rect, ...]:
        """Return small squares of bare paper all over the sheet, mm: nothing is printed or laid there."""
        full = [rect.grown(2.0) for rect in (*self.marks().values(), self.identity_mark())]
        full.append(self.heading().grown(0.8))
        full += [window.taken().grown(1.5) for window in self.windows]
        squares = (
            Rect(x, y, size, size) for y in _spread(self.height, step, size) for x in _spread(self.width, step, size)
        )
        return tuple(square for square in squares if not any(square.meets(rect) for rect in full))


def _spread(length: float, step: float, size: float) -> list[float]:
    """Return where squares begin along a side, evenly, 5 mm from both ends."""
    room = length - 2 * 5.0 - size
    count = int(room // step)
    return [5.0 + number * room / count for number in range(count + 1)]


def _faults(frame: Frame) -> Iterator[Fault]:
    if not re.fullmatch(r"[0-9A-Z]{4,8}", frame.identity):
        yield Fault("identity", f"{frame.identity!r}", "Use 4 to 8 capital letters and digits.")
    if not (140.0 <= frame.width <= 450.0 and 140.0 <= frame.height <= 450.0):
        yield Fault("sheet", f"{frame.width:g} x {frame.height:g} mm", "Use a sheet of 140 to 450 mm a side.")
        return
    if not frame.windows:
        yield Fault("windows", "none", "Add a window.")
    names = [window.name for window in frame.windows]
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield Fault(name, "two windows have this name", "Give each its own.")
    for window in frame.windows:
        yield from _window_faults(window)
    yield from _place_faults(frame)


def _window_faults(window: Window) -> Iterator[Fault]:
    cells = window.rows * window.columns
    if cells < 1 or len(window.labels) != cells:
        yield Fault(window.name, f"{len(window.labels)} labels for {cells} cells", "Give one label per cell.")
        return
    if len(set(window.labels)) != len(window.labels):
        yield Fault(window.name, "a label is there twice", "Give each cell its own label.")
    for text in (window.name, *window.labels):
        if not _LABEL.fullmatch(text):
            yield Fault(window.name, f"{text!r} cannot be printed", "Use 1 to 24 characters in one line.")
    if window.rect.width / window.columns < 5.0 or window.rect.height / window.rows < 5.0:
        yield Fault(window.name, "cells smaller than 5 mm", "Make the window larger or its cells fewer.")
    if window.kind is WindowKind.STEPS and (window.rows != 1 or window.columns < 2):
        yield Fault(window.name, "a step card lies in one row of two or more steps", "Change rows or columns.")
    if window.kind is WindowKind.CONTRAST and (window.rows, window.columns) != (1, 2):
        yield Fault(window.name, "a contrast window has two cells, black then white", "Use 1 row, 2 columns.")


def _place_faults(frame: Frame) -> Iterator[Fault]:
    sheet = Rect(0.0, 0.0, frame.width, frame.height).grown(-5.0)
    printed = [rect.grown(MARK_QUIET) for rect in (*frame.marks().values(), frame.identity_mark())]
    printed.append(frame.heading())
    for place, window in enumerate(frame.windows):
        taken = window.taken()
        if not sheet.holds(taken):
            yield Fault(window.name, "reaches within 5 mm of the sheet's edge", "Move it or make it smaller.")
        if any(taken.meets(rect) for rect in printed):
            yield Fault(window.name, "covers a mark or the heading", "Move it or make it smaller.")
        for other in frame.windows[place + 1 :]:
            if taken.meets(other.taken()):
                yield Fault(window.name, f"overlaps {other.name}", "Move one of them.")
