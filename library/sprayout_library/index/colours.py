"""Gathering colours: L*a*b* of every measured spot, by geometry and view, from its readings to arrays in a file."""

from __future__ import annotations

import json
import zlib
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from sprayout_core.errors import SprayoutError
from sprayout_core.light import View, lab, tristimulus, white
from sprayout_library.index.kept import GRADES, STAGES
from sprayout_library.index.slim import GridSaid, Measured, Reading, wavelengths

__all__ = ["Gathered", "SpotKey"]

Array = npt.NDArray[np.float64]
SpotKey = tuple[str, str, str, str, str]
"""Panel, zone, step, stage and grade: readings of one spot are averaged, those of two never are."""

_At = tuple[str, GridSaid]
"""A geometry and the grid of its spectra: what can be computed in one block."""

_MANY = 1024
_SAME_WHITE = 0.05
_NO_GRID = 400.0, 701.0, 10.0


@dataclass(slots=True)
class _Sum:
    """The running mean at one geometry: sums and counts by spot and view, the first white of each."""

    total: Array
    count: npt.NDArray[np.int32]
    white: Array

    @classmethod
    def of(cls, views: int) -> _Sum:
        return cls(np.zeros((64, views, 3)), np.zeros((64, views), np.int32), np.full((64, views, 3), np.nan))

    def room(self, size: int) -> None:
        if size > self.count.shape[0]:
            more = max(size, 2 * self.count.shape[0]) - self.count.shape[0]
            self.total = np.pad(self.total, ((0, more), (0, 0), (0, 0)))
            self.count = np.pad(self.count, ((0, more), (0, 0)))
            self.white = np.pad(self.white, ((0, more), (0, 0), (0, 0)), constant_values=np.nan)

    def add(self, rows: npt.NDArray[np.intp], views: slice, seen: Array, against: Array) -> None:
        """Add colours (n, views, 3) of some spots; `against` is the white of each view (views, 3)."""
        white = self.white[rows, views]
        fresh = np.isnan(white)
        if fresh.any():
            white = np.where(fresh, against, white)
            self.white[rows, views] = white
        strange = np.max(np.abs(white - against), axis=-1, keepdims=True) > _SAME_WHITE
        if np.any(strange):
            seen = np.where(strange, np.nan, seen)
        order = np.argsort(rows, kind="stable")
        ordered = rows[order]
        first = np.flatnonzero(np.concatenate([[True], ordered[1:] != ordered[:-1]]))
        self.total[ordered[first], views] += np.add.reduceat(seen[order], first)
        self.count[ordered[first], views] += np.diff(np.append(first, rows.size)).astype(np.int32)[:, np.newaxis]


class Gathered:
    """Colours being gathered, reading by reading; the mean of the repeats of each spot is kept.

    Whites of one spot's repeats must agree, as when two colours are compared; a spot where they do not has
    no colour here.
    """

    def __init__(self, views: Sequence[View]) -> None:
        self.views = list(views)
        self.spots: dict[SpotKey, int] = {}
        self.sums: dict[str, _Sum] = {}
        self._waiting: dict[_At, tuple[list[int], list[float]]] = defaultdict(lambda: ([], []))
        self._count = 0
        self._rows = 0

    def add(self, reading: Reading) -> None:
        """Take the colours of one reading in; it must stand (not withdrawn, not superseded)."""
        spot = (reading.panel, reading.zone, reading.step, reading.stage.surface, reading.grade)
        row = self.spots.get(spot, -1)
        if row < 0:
            row = self.spots[spot] = self._rows
            self._rows += 1
        for one in reading.measured:
            spectrum = one.reduced or one.spectrum
            if spectrum is not None:
                rows, values = self._waiting[one.geometry, spectrum.grid()]
                rows.append(row)
                values += spectrum.values
                self._count += 1
            elif one.coordinates is not None:
                self._given(row, one)
        if self._count >= _MANY:
            self._compute()

    def forget(self, panels: Collection[str]) -> None:
        """Drop what was gathered of some panels, to be gathered anew with more care."""
        self._compute()
        dropped = [spot for spot in self.spots if spot[0] in panels]
        rows = [self.spots.pop(spot) for spot in dropped]
        for held in self.sums.values():
            held.room(self._rows)
            held.count[rows], held.total[rows] = 0, 0.0
            held.white[rows] = np.nan

    def _given(self, row: int, one: Measured) -> None:
        given = one.coordinates
        assert given is not None
        for place, view in enumerate(self.views):
            if (given.illuminant, given.observer) == (str(view.illuminant), view.observer):
                against = given.white or white(view, np.arange(*_NO_GRID)).tolist()
                seen = np.array([[given.lab]], dtype=float)
                self._sum(one.geometry).add(np.array([row]), slice(place, place + 1), seen, np.array([against]))

    def _compute(self) -> None:
        for (geometry, grid), (rows, values) in self._waiting.items():
            nm = np.array(wavelengths(grid))
            spectra = np.fromiter(values, float, len(values)).reshape(len(rows), nm.size)
            seen, against = np.empty((len(rows), len(self.views), 3)), np.empty((len(self.views), 3))
            try:
                for place, view in enumerate(self.views):
                    against[place] = white(view, nm)
                    seen[:, place] = lab(tristimulus(spectra, nm, view), against[place])
            except SprayoutError:  # a grid that no weights exist for: the reading has no colour
                continue
            self._sum(geometry).add(np.array(rows), slice(None), seen, against)
        self._waiting.clear()
        self._count = 0

    def _sum(self, geometry: str) -> _Sum:
        held = self.sums.setdefault(geometry, _Sum.of(len(self.views)))
        held.room(self._rows)
        return held

    def means(self) -> dict[str, Array]:
        """Return L*, a*, b* by geometry, (views, spots, 3); NaN where nothing was measured."""
        self._compute()
        found = {}
        for geometry, held in sorted(self.sums.items()):
            held.room(self._rows)
            with np.errstate(invalid="ignore", divide="ignore"):
                mean = held.total[: self._rows] / held.count[: self._rows, :, np.newaxis]
            found[geometry] = np.ascontiguousarray(mean.transpose(1, 0, 2))
        return found

    def write(self, path: Path) -> None:
        """Write the arrays; a panel is told by the number of its first spot."""
        self._compute()
        owners = np.full(self._rows, -1, dtype=np.int32)
        first: dict[str, int] = {}
        for spot, row in self.spots.items():
            owners[row] = first.setdefault(spot[0], row)
        stages = np.full(self._rows, len(STAGES), dtype=np.uint8)
        grades = np.full(self._rows, len(GRADES), dtype=np.uint8)
        for (_, _, _, stage, grade), row in self.spots.items():
            stages[row] = STAGES.index(stage) if stage in STAGES else len(STAGES)
            grades[row] = GRADES.index(grade) if grade in GRADES else len(GRADES)
        blocks: list[tuple[str, bytes]] = [
            ("owner", owners.tobytes()), ("stage", stages.tobytes()), ("grade", grades.tobytes()),
        ]  # fmt: skip
        for geometry, mean in self.means().items():
            used = np.flatnonzero(self.sums[geometry].count[: self._rows].any(axis=1)).astype(np.int32)
            blocks.append((f"rows {geometry}", used.tobytes()))
            blocks += [(f"lab {place} {geometry}", mean[place, used].tobytes()) for place in range(len(self.views))]
        table, start = [], 0
        for name, content in blocks:
            table.append([name, start, len(content), zlib.crc32(content)])
            start += len(content)
        head = json.dumps(table).encode()
        with path.open("wb") as file:
            file.write(len(head).to_bytes(8, "little") + zlib.crc32(head).to_bytes(4, "little") + head)
            for _, content in blocks:
                file.write(content)
