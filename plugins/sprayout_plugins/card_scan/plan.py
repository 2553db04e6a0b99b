"""Which pixels of the picture are looked at: lattices on the sheet, gathered while the rows go by."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.card import Frame, Rect, WindowKind, lattice_places
from sprayout_plugins.card_scan.marks import Sheet, mark_area

__all__ = ["BARE", "INSIDE", "OVERLAY_PER_MM", "Plan", "Spot", "gather", "make_plan"]

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
        """How many samples, from the first, are turned into light; marks and overlay are only looked at."""
        return next(start for spot, start in zip(self.spots, self.starts, strict=True) if spot.role == "mark")

    def of(self, role: str) -> Iterator[tuple[Spot, slice]]:
        """Give the spots of one role with the place of their samples."""
        for spot, start in zip(self.spots, self.starts, strict=True):
            if spot.role == role:
                yield spot, slice(start, start + spot.count)


def make_plan(frame: Frame, sheet: Sheet, bare: Sequence[Rect]) -> Plan:
    """Return what is looked at on a frame.

    bare  the frame's squares of bare paper

    Roles: `patch` (one cell), `steps` (a whole step window, to be divided later), `bare` (paper), `strip`
    (grey strip pieces), `mark` (for sharpness) and `overlay` (the straightened sheet).
    """
    spots = [*_patches(frame, sheet.pixels_per_mm)]
    spots += [Spot(BARE, "", "", rect, _SMALL, _SMALL) for rect in bare]
    for window in frame.windows:
        for strip in window.strips:
            pieces = max(2, round(strip.width / _STRIP_PIECE))
            width = strip.width / pieces
            for number in range(pieces):
                piece = Rect(strip.x + number * width, strip.y, width, strip.height).inset(INSIDE)
                spots.append(Spot("strip", window.name, "", piece, _SQUARE, _SQUARE))
    for name, rect in frame.marks().items():
        area, side = mark_area(rect, frame.mark_text(name))
        spots.append(Spot("mark", "", name, area, side, side))
    whole = Rect(0.0, 0.0, frame.width, frame.height)
    columns, rows = round(frame.width * OVERLAY_PER_MM), round(frame.height * OVERLAY_PER_MM)
    spots.append(Spot("overlay", "", "", whole, columns, rows))
    starts = np.cumsum([0, *(spot.count for spot in spots)])
    return Plan(tuple(spots), tuple(starts[:-1].tolist()))


def gather(
    plan: Plan, sheet: Sheet, size: tuple[int, int], blocks: Iterable[npt.NDArray[np.integer]]
) -> npt.NDArray[np.integer]:
    """Return the stored value of every sample, (samples, 3), from blocks of rows in order.

    size  width and height of the picture

    The nearest pixel is taken: nothing is smoothed, so clipping and glints stay what they are. Places outside
    the picture take its nearest edge; marks that were read lie inside, so only the overlay's rim can.
    """
    width, height = size
    seen = [lattice_places(sheet.perspective, spot.area, spot.columns, spot.rows) for spot in plan.spots]
    columns = np.clip(np.concatenate([x for x, _ in seen]), 0, width - 1).astype(np.int32)
    rows = np.clip(np.concatenate([y for _, y in seen]), 0, height - 1).astype(np.int32)
    # short keys are sorted by counting, which is several times faster
    order = np.argsort(rows.astype(np.uint16) if height < 65536 else rows, kind="stable")
    ordered = rows[order]
    taken: npt.NDArray[np.integer] | None = None
    top = 0
    for block in blocks:
        if taken is None:
            taken = np.zeros((len(rows), 3), dtype=block.dtype)
        first, last = np.searchsorted(ordered, (top, top + len(block)))
        wanted = order[first:last]
        taken[wanted] = block[rows[wanted] - top, columns[wanted]]
        top += len(block)
    assert taken is not None
    return taken


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
