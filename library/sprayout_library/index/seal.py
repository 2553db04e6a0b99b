"""The seal of an index: one small file that names its parts, their size and their check sums."""

from __future__ import annotations

import json
import os
import time
import zlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sprayout_library.machine import write_whole

__all__ = ["EDITION", "Broken", "Layer", "Part", "Seal", "crc_of", "sealed"]

EDITION = 3
"""Raised whenever what an index holds changes: an index of another edition is made anew."""

_WEEK = 7 * 86400
_CHUNK = 1 << 20
_SMALL = 4_000_000
"""Files up to this size are compared whole each time: it takes a few milliseconds."""


class Broken(Exception):
    """An index that cannot be trusted: absent, of another edition, or not as it was sealed. It is made anew."""


def crc_of(path: Path) -> int:
    """Return the CRC-32 of a file's bytes."""
    total = 0
    with path.open("rb") as file:
        while block := file.read(_CHUNK):
            total = zlib.crc32(block, total)
    return total


@dataclass(frozen=True, slots=True)
class Part:
    """One file of an index as it was sealed; `stamp` changes whenever any program writes to it."""

    file: str
    size: int
    crc: int
    stamp: tuple[int, int, int]

    def check(self, folder: Path, *, whole: bool) -> bool:
        """Return whether the stamp still fits; raise Broken where the bytes are not those that were sealed.

        whole   compare the check sum even where nobody seems to have touched the file
        """
        path = folder / self.file
        try:
            size, stamp = _stamp(path)
            if size != self.size:
                raise Broken(f"{self.file} has {size} bytes, not {self.size}")
            if (whole or stamp != self.stamp) and crc_of(path) != self.crc:
                raise Broken(f"{self.file} is damaged")
        except OSError as error:
            raise Broken(f"{self.file}: {error.strerror}") from None
        return stamp == self.stamp


def _stamp(path: Path) -> tuple[int, tuple[int, int, int]]:
    seen = path.stat()
    return seen.st_size, (seen.st_mtime_ns, seen.st_ctime_ns, seen.st_ino)


def sealed(path: Path) -> Part:
    """Return a finished file as a part of an index, safely on disk."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
    crc = crc_of(path)
    size, stamp = _stamp(path)
    return Part(path.name, size, crc, stamp)


@dataclass(frozen=True, slots=True)
class Layer:
    """What changed between two commits, or everything up to one (`before` empty).

    count   documents whose rows stand here
    """

    before: str
    after: str
    count: int
    rows: Part
    colours: Part


@dataclass(frozen=True, slots=True)
class Seal:
    """The whole of an index: which library, at which commit, in which views, in which layers (oldest first)."""

    mark: str
    head: str
    views: tuple[tuple[str, int], ...]
    layers: tuple[Layer, ...]
    verified: float = field(default_factory=time.time)

    def write(self, path: Path) -> None:
        """Put the seal in place in one step."""
        said = {
            "edition": EDITION, "mark": self.mark, "head": self.head, "views": [list(view) for view in self.views],
            "verified": self.verified,
            "layers": [
                {"before": one.before, "after": one.after, "count": one.count,
                 "rows": _said(one.rows), "colours": _said(one.colours)} for one in self.layers
            ],
        }  # fmt: skip
        text = json.dumps(said, sort_keys=True)
        write_whole(path, json.dumps({"crc": zlib.crc32(text.encode()), "seal": text}).encode())

    @classmethod
    def read(cls, path: Path) -> Seal:
        """Return the seal of an index. Raises Broken."""
        try:
            outer = json.loads(path.read_bytes())
            text = outer["seal"]
            if zlib.crc32(text.encode()) != outer["crc"]:
                raise Broken("the seal is damaged")
            said = json.loads(text)
            if said["edition"] != EDITION:
                raise Broken(f"an index of edition {said['edition']}")
            layers = tuple(
                Layer(one["before"], one["after"], one["count"], _part(one["rows"]), _part(one["colours"]))
                for one in said["layers"]
            )
            views = tuple((name, observer) for name, observer in said["views"])
            return cls(said["mark"], said["head"], views, layers, float(said["verified"]))
        except FileNotFoundError:
            raise Broken("there is no index yet") from None
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            raise Broken("the seal cannot be read") from None

    def check(self, folder: Path) -> bool:
        """Return whether every stamp still fits; raise Broken where a part is not as it was sealed.

        Small files are compared whole. A large one that any program wrote to has another stamp and is compared
        whole; what a failing disk turns over in it without a write is found within a week, when everything is.
        """
        due = not 0 <= time.time() - self.verified < _WEEK
        parts = [part for layer in self.layers for part in (layer.rows, layer.colours)]
        fits = [part.check(folder, whole=due or part.size <= _SMALL) for part in parts]
        return all(fits) and not due

    def anew(self, folder: Path) -> Seal:
        """Return the seal of the same bytes under the stamps they have now; only after `check`."""
        layers = tuple(
            Layer(one.before, one.after, one.count, _restamped(one.rows, folder), _restamped(one.colours, folder))
            for one in self.layers
        )
        return Seal(self.mark, self.head, self.views, layers)


def _restamped(part: Part, folder: Path) -> Part:
    return Part(part.file, part.size, part.crc, _stamp(folder / part.file)[1])


def _said(part: Part) -> dict[str, Any]:
    return {"file": part.file, "size": part.size, "crc": part.crc, "stamp": list(part.stamp)}


def _part(said: dict[str, Any]) -> Part:
    one, two, three = said["stamp"]
    if Path(said["file"]).name != said["file"]:
        raise Broken("the seal names a file elsewhere")
    return Part(said["file"], said["size"], said["crc"], (one, two, three))
