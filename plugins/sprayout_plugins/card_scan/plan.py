"""Which pixels of the picture are looked at: lattices on the sheet, and the pixel at each of their places."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import numpy.typing as npt

from sprayout_core.card import Frame, Rect, Window, WindowKind, lattices
from sprayout_plugins.card_scan.marks import Sheet, mark_area

__all__ = [
    "BARE", "INSIDE", "OVERLAY_PER_MM", "Plan", "Spot", "light_areas", "make_plan", "places_of", "whole_sheet",
]  # fmt: skip

Places = npt.NDArray[np.int32]

INSIDE = 0.6
"""Share of a cell's sides that is looked at: edges, shadows and a piece laid askew stay outside."""

OVERLAY_PER_MM = 3.0
"""Pixels of the overlay per mm of the sheet."""

BARE = "bare"
_SQUARE = 12
_SMALL = 8
_MOST = 36
_FEWEST = 8
_STEP_LENGTH = 360
_STEP_HEIGHT = 32
_STRIP_PIECE = 8.0


@dataclass(frozen=True, slots=True)
class Spot:
    """One lattice: its role, the window and label it belongs to, its area, its columns and rows."""

    role: str
    window: str
    label: str
    area: Rect
    columns: int
    rows: int

    @property
    def count(self) -> int:
        """Number of samples."""
        return self.columns * self.rows


@dataclass(frozen=True)
class Plan:
    """Every spot in order, and where each one's samples begin."""

    spots: tuple[Spot, ...]
    starts: tuple[int, ...]

    @property
    def measured(self) -> int:
        """How many samples, from the first, are turned into light; marks are only looked at."""
        return next(start for spot, start in zip(self.spots, self.starts, strict=True) if spot.role == "mark")

    def of(self, role: str) -> Iterator[tuple[Spot, slice]]:
        """Give the spots of one role with the place of their samples."""
        for spot, start in zip(self.spots, self.starts, strict=True):
            if spot.role == role:
                yield spot, slice(start, start + spot.count)

    def alike(self, role: str | None = None) -> Iterator[tuple[list[Spot], slice]]:
        """Give runs of spots with one lattice, of one role or of all, with the place of all their samples."""
        begun = zip(self.spots, self.starts, strict=True)
        for (named, columns, rows), run in groupby(begun, lambda one: (one[0].role, one[0].columns, one[0].rows)):
            spots, starts = zip(*run, strict=True)
            if role in (None, named):
                yield list(spots), slice(starts[0], starts[0] + len(spots) * columns * rows)


def make_plan(frame: Frame, sheet: Sheet, bare: Sequence[Rect]) -> Plan:
    """Return what is looked at on a frame.

    bare  the frame's squares of bare paper

    Roles: `patch` (one cell), `steps` (a whole step window, to be divided later), `bare` (paper), `strip`
    (grey strip pieces) and `mark` (for sharpness).
    """
    spots = [*_patches(frame, sheet.pixels_per_mm)]
    spots += [Spot(BARE, "", "", rect, _SMALL, _SMALL) for rect in bare]
    spots += [
        Spot("strip", window.name, "", piece, _SQUARE, _SQUARE)
        for window in frame.windows
        for piece in _strip_pieces(window)
    ]
    for name, rect in frame.marks().items():
        area, side = mark_area(rect, frame.mark_text(name))
        spots.append(Spot("mark", "", name, area, side, side))
    return _plan(spots)


def whole_sheet(frame: Frame) -> Plan:
    """Return the lattice of the straightened sheet."""
    columns, rows = round(frame.width * OVERLAY_PER_MM), round(frame.height * OVERLAY_PER_MM)
    return _plan([Spot("sheet", "", "", Rect(0.0, 0.0, frame.width, frame.height), columns, rows)])


def light_areas(frame: Frame, bare: Sequence[Rect]) -> list[Rect]:
    """Return where the light is read: bare paper and pieces of grey strips."""
    return [*bare, *(piece for window in frame.windows for piece in _strip_pieces(window))]


def places_of(plan: Plan, sheet: Sheet, size: tuple[int, int]) -> tuple[Places, Places]:
    """Return the column and the row of the pixel nearest to every sample, (samples,) each.

    size  width and height of the picture

    The nearest pixel is taken: nothing is smoothed, so clipping and glints stay what they are. Places outside
    the picture take its nearest edge; marks that were read lie inside, so only the straightened sheet's rim can.
    """
    width, height = size
    seen = [lattices(sheet.perspective, [spot.area for spot in spots], spots[0].columns, spots[0].rows)
            for spots, _ in plan.alike()]  # fmt: skip
    columns = np.concatenate([x.ravel() for x, _ in seen])
    rows = np.concatenate([y.ravel() for _, y in seen])
    return np.clip(columns, 0, width - 1).astype(np.int32), np.clip(rows, 0, height - 1).astype(np.int32)


def _plan(spots: Sequence[Spot]) -> Plan:
    starts = np.cumsum([0, *(spot.count for spot in spots)])
    return Plan(tuple(spots), tuple(starts[:-1].tolist()))


def _strip_pieces(window: Window) -> Iterator[Rect]:
    for strip in window.strips:
        pieces = max(2, round(strip.width / _STRIP_PIECE))
        width = strip.width / pieces
        for number in range(pieces):
            yield Rect(strip.x + number * width, strip.y, width, strip.height).inset(INSIDE)


def _patches(frame: Frame, scale: float) -> Iterator[Spot]:
    for window in frame.windows:
        if window.kind is WindowKind.STEPS:
            rect = window.rect
            margin = rect.height * (1 - INSIDE) / 2
            area = Rect(rect.x, rect.y + margin, rect.width, rect.height * INSIDE)
            yield Spot("steps", window.name, "", area, _STEP_LENGTH, _STEP_HEIGHT)
            continue
        for label, cell in window.cells().items():
            area = cell.inset(INSIDE)
            yield Spot("patch", window.name, label, area, _side(area.width, scale), _side(area.height, scale))


def _side(length: float, scale: float) -> int:
    return int(np.clip(length * scale, _FEWEST, _MOST))
