"""Where labels stand on their sheet, in millimetres."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sprayout_core.errors import Fault, FaultsError

__all__ = ["GridError", "LabelGrid", "grid_and_used", "single"]

_MOST = 100
_ROUNDING = 0.01


class GridError(FaultsError):
    """A label grid that does not fit its paper; carries every fault."""


@dataclass(frozen=True, slots=True)
class LabelGrid:
    """Columns and rows of equal labels; every length in mm, left and top measured to the first label."""

    paper_width: float
    paper_height: float
    columns: int
    rows: int
    width: float
    height: float
    left: float = 0.0
    top: float = 0.0
    gap_across: float = 0.0
    gap_down: float = 0.0

    def __post_init__(self) -> None:
        if faults := tuple(self._faults()):
            raise GridError(faults)

    @property
    def places(self) -> int:
        """How many labels stand on one sheet."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """Return left and top of a label in mm, places counted from 0 along the rows."""
        row, column = divmod(place, self.columns)
        return self.left + column * (self.width + self.gap_across), self.top + row * (self.height + self.gap_down)

    def _faults(self) -> Iterator[Fault]:
        lengths = {"paper width": self.paper_width, "paper height": self.paper_height}
        lengths |= {"label width": self.width, "label height": self.height}
        for name, length in lengths.items():
            if not (math.isfinite(length) and 0 < length <= 2000):
                yield Fault(f"grid/{name}", f"{length} mm", "Give a length above zero, in millimetres.")
        margins = {
            "left": self.left,
            "top": self.top,
            "gap across": self.gap_across,
            "gap down": self.gap_down,
        }
        for name, length in margins.items():
            if not (math.isfinite(length) and 0 <= length <= 2000):
                yield Fault(f"grid/{name}", f"{length} mm", "Give zero or more, in millimetres.")
        for name, number in (("columns", self.columns), ("rows", self.rows)):
            if not 1 <= number <= _MOST:
                yield Fault(f"grid/{name}", f"{number} {name}", f"Give 1 to {_MOST}.")
        across = self.left + self.columns * (self.width + self.gap_across) - self.gap_across
        down = self.top + self.rows * (self.height + self.gap_down) - self.gap_down
        if across > self.paper_width + _ROUNDING:
            yield Fault("grid/columns", f"labels reach {across:g} mm of {self.paper_width:g} mm", "Use fewer columns.")
        if down > self.paper_height + _ROUNDING:
            yield Fault("grid/rows", f"labels reach {down:g} mm of {self.paper_height:g} mm", "Use fewer rows.")


def single(width: float, height: float) -> LabelGrid:
    """Return the grid of a label printer: one label of this size, in mm, on each page."""
    return LabelGrid(width, height, 1, 1, width, height)


_LENGTHS = ("paper_width", "paper_height", "width", "height", "left", "top", "gap_across", "gap_down")
_COUNTS = ("columns", "rows", "used")


def grid_and_used(told: Mapping[str, str]) -> tuple[LabelGrid, int]:
    """Return a grid and the places already gone, from lengths in mm and counts told as text.

    Raises GridError with every fault: an unknown name, what is no number, what is missing, what does not fit.
    """
    faults: list[Fault] = []
    lengths: dict[str, float] = {}
    counts: dict[str, int] = {}
    for name, text in told.items():
        place = f"grid/{name.replace('_', ' ')}"
        try:
            if name in _LENGTHS:
                lengths[name] = float(text)
            elif name in _COUNTS:
                counts[name] = int(text)
            else:
                faults.append(Fault(place, "is nothing a grid has", f"Use: {', '.join((*_LENGTHS, *_COUNTS))}."))
        except ValueError:
            faults.append(Fault(place, f"{text!r} is no number", "Write millimetres, or a whole number of labels."))
    needed = ("paper_width", "paper_height", "columns", "rows", "width", "height")
    faults += [Fault(f"grid/{name.replace('_', ' ')}", "is missing", "Give it.") for name in needed if name not in told]
    if faults:
        raise GridError(faults)
    used = counts.pop("used", 0)
    return LabelGrid(**lengths, **counts), used  # type: ignore[arg-type]
