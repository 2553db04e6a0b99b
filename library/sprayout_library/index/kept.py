"""Colours kept beside the rows: L*a*b* of every measured spot, by geometry and view, in arrays."""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO

import numpy as np
import numpy.typing as npt

from sprayout_library.index.seal import Broken

__all__ = ["GRADES", "STAGES", "Kept"]

Array = npt.NDArray[np.float64]

STAGES = ("bare", "cleared", "polished")
GRADES = ("spectrum", "coordinates", "image-derived", "typed")


class Kept:
    """The arrays of one layer, each read and compared with its check sum when it is first asked for.

    file  of the layer, opened by whoever closes it
    """

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        head = self._file.read(12)
        text = self._file.read(int.from_bytes(head[:8], "little")) if len(head) == 12 else b""
        if not text or zlib.crc32(text) != int.from_bytes(head[8:], "little"):
            raise Broken(f"{Path(file.name).name} is damaged")
        self._start = 12 + len(text)
        self._table = {name: (start, size, crc) for name, start, size, crc in json.loads(text)}
        self._known: dict[str, bytes] = {}

    def geometries(self) -> Iterable[str]:
        """Return the geometries anything was measured at."""
        return [name.removeprefix("rows ") for name in self._table if name.startswith("rows ")]

    def _block(self, name: str) -> bytes:
        if name not in self._known:
            start, size, crc = self._table[name]
            self._file.seek(self._start + start)
            content = self._file.read(size)
            if len(content) != size or zlib.crc32(content) != crc:
                raise Broken("the colours are damaged")
            self._known[name] = content
        return self._known[name]

    def owner(self) -> npt.NDArray[np.int32]:
        """Return the number of the panel of every spot; -1 where a number was not used."""
        return np.frombuffer(self._block("owner"), dtype=np.int32)

    def coded(self, what: str) -> npt.NDArray[np.uint8]:
        """Return the stage or the grade of every spot, as its place in STAGES or GRADES."""
        return np.frombuffer(self._block(what), dtype=np.uint8)

    def lab(self, geometry: str, view: int) -> tuple[npt.NDArray[np.int32], Array]:
        """Return the spots measured at a geometry (k,) and their L*, a*, b* in a view (k, 3); NaN where unknown."""
        if f"rows {geometry}" not in self._table:
            return np.empty(0, np.int32), np.empty((0, 3))
        rows = np.frombuffer(self._block(f"rows {geometry}"), dtype=np.int32)
        return rows, np.frombuffer(self._block(f"lab {view} {geometry}"), dtype=float).reshape(-1, 3)
