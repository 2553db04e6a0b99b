"""Gathering colours: L*a*b* of every measured spot, by geometry and view, from its readings to arrays in a file."""

from __future__ import annotations

import json
import zlib
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from struct import Struct

import numpy as np
import numpy.typing as npt

from sprayout_core.errors import SprayoutError
from sprayout_core.light import View, lab, tristimulus, white
from sprayout_library.index.kept import GRADES, STAGES
from sprayout_library.index.slim import Measured, Reading, wavelengths

__all__ = ["Gathered", "SpotKey"]

Array = npt.NDArray[np.float64]
SpotKey = tuple[str, str, str, str, str]
"""Panel, zone, step, stage and grade: readings of one spot are averaged, those of two never are."""

_At = tuple[str, float | None, float | None, tuple[float, ...] | None, int]
"""A geometry and the grid of its spectra as it is said: what can be computed in one block."""

_MANY = 200_000
"""Values kept before colours are computed of them."""
_BLOCK = 2048
"""Spectra computed together: large enough for arrays to pay, small enough for the processor's cache."""
_SAME_WHITE = 0.05
_NO_GRID = 400.0, 701.0, 10.0


@dataclass(slots=True)
class _Sum:
    """The running mean at one geometry: sums and counts by spot and view, and which white each was first seen against.

    white   its number in `whites`, -1 where there is none yet
    """

    total: Array
    count: npt.NDArray[np.int32]
    white: npt.NDArray[np.int32]
    whites: dict[tuple[float, ...], int]

    @classmethod
    def of(cls, views: int) -> _Sum:
        return cls(np.zeros((64, views, 3)), np.zeros((64, views), np.int32), np.full((64, views), -1, np.int32), {})

    def room(self, size: int) -> None:
        if size > self.count.shape[0]:
            more = max(size, 2 * self.count.shape[0]) - self.count.shape[0]
            self.total = np.pad(self.total, ((0, more), (0, 0), (0, 0)))
            self.count = np.pad(self.count, ((0, more), (0, 0)))
            self.white = np.pad(self.white, ((0, more), (0, 0)), constant_values=-1)

    def add(self, rows: npt.NDArray[np.intp], views: slice, seen: Array, against: Array) -> None:
        """Add colours (n, views, 3) of some spots; `against` is the white of each view (views, 3)."""
        numbers = np.array([self.whites.setdefault(tuple(one), len(self.whites)) for one in against.tolist()], np.int32)
        first = self.white[rows, views]
        fresh = first < 0
        if fresh.any():
            first = np.where(fresh, numbers, first)
            self.white[rows, views] = first
        if (first != numbers).any():
            distance = np.abs(np.array(list(self.whites))[first] - against).max(axis=-1, keepdims=True)
            seen = np.where(distance > _SAME_WHITE, np.nan, seen)
        order = np.argsort(rows, kind="stable")
        ordered = rows[order]
        begins = np.flatnonzero(np.concatenate([[True], ordered[1:] != ordered[:-1]]))
        self.total[ordered[begins], views] += np.add.reduceat(seen[order], begins)
        self.count[ordered[begins], views] += np.diff(np.append(begins, rows.size)).astype(np.int32)[:, np.newaxis]


class _Waiting:
    """Spectra of one geometry and grid that have no colours yet: whose they are, and their values as bytes.

    row, spectrum  take the number of a spot, and its values as `pack` makes them
    """

    __slots__ = ("nm", "pack", "packed", "row", "rows", "spectrum")

    def __init__(self, nm: tuple[float, ...]) -> None:
        self.nm = nm
        self.rows: list[int] = []
        self.packed: list[bytes] = []
        self.pack: Callable[..., bytes] = Struct(f"{len(nm)}d").pack
        self.row, self.spectrum = self.rows.append, self.packed.append


class Gathered:
    """Colours being gathered, reading by reading; the mean of the repeats of each spot is kept.

    Whites of one spot's repeats must agree, as when two colours are compared; a spot where they do not has
    no colour here.
    """

    def __init__(self, views: Sequence[View]) -> None:
        self.views = list(views)
        self.spots: dict[SpotKey, int] = {}
        self.sums: dict[str, _Sum] = {}
        self._waiting: dict[_At, _Waiting] = {}
        self._count = 0
        self._rows = 0

    def add(self, reading: Reading) -> None:
        """Take the colours of one reading in; it must stand (not withdrawn, not superseded)."""
        spot = (reading.panel, reading.zone, reading.step, reading.stage.surface, reading.grade)
        row = self.spots.get(spot, -1)
        if row < 0:
            row = self.spots[spot] = self._rows
            self._rows += 1
        waiting = self._waiting
        for one in reading.measured:
            if (spectrum := one.reduced or one.spectrum) is not None:
                values, listed = spectrum.values, spectrum.wavelengths_nm
                count = len(values)
                nm = None if listed is None else tuple(listed)
                at = one.geometry, spectrum.start_nm, spectrum.step_nm, nm, count
                if (held := waiting.get(at)) is None:
                    held = waiting[at] = _Waiting(wavelengths(spectrum.grid()))
                held.row(row)
                held.spectrum(held.pack(*values))
                self._count += count
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
            held.white[rows] = -1

    def _given(self, row: int, one: Measured) -> None:
        given = one.coordinates
        assert given is not None
        for place, view in enumerate(self.views):
            if (given.illuminant, given.observer) == (str(view.illuminant), view.observer):
                against = given.white or white(view, np.arange(*_NO_GRID)).tolist()
                seen = np.array([[given.lab]], dtype=float)
                self._sum(one.geometry).add(np.array([row]), slice(place, place + 1), seen, np.array([against]))

    def _compute(self) -> None:
        for (geometry, *_), held in self._waiting.items():
            nm, rows = np.array(held.nm), np.array(held.rows)
            spectra = np.frombuffer(b"".join(held.packed)).reshape(rows.size, nm.size)
            try:
                against = np.array([white(view, nm) for view in self.views])
                for start in range(0, rows.size, _BLOCK):
                    some = spectra[start : start + _BLOCK]
                    seen = np.empty((some.shape[0], len(self.views), 3))
                    for place, view in enumerate(self.views):
                        seen[:, place] = lab(tristimulus(some, nm, view), against[place])
                    self._sum(geometry).add(rows[start : start + _BLOCK], slice(None), seen, against)
            except SprayoutError:  # a grid that no weights exist for: the reading has no colour
                continue
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
