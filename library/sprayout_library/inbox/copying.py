"""A private copy of a file: read through once, unchanged meanwhile, then read again and again from the copy."""

from __future__ import annotations

import errno
import hashlib
import io
import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, BinaryIO

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Source

__all__ = [
    "LARGEST_FILE",
    "Copied",
    "NoRoom",
    "NotOpened",
    "NotReadable",
    "Signature",
    "StillChanging",
    "copied",
    "signature",
]

#: Larger files are refused before they are read.
LARGEST_FILE = 2_000_000_000
#: Copies up to this many bytes stay in memory.
_IN_MEMORY = 8_000_000

Signature = tuple[int, int, int, int]
"""What tells that a file changed: size in bytes, times of change of content and of anything (ns), inode."""


class NotReadable(SprayoutError):
    """A file that cannot be opened, or that no plugin reads."""


class NotOpened(NotReadable):
    """A file that the system does not let us read: another program may hold it, or permissions may be mended."""


class StillChanging(NotReadable):
    """A file that was written to, replaced or taken away while it was read: try again when it is finished."""


class NoRoom(SprayoutError):
    """No room on the disk for a copy or a note: nothing was taken, try again when there is room."""


@dataclass(frozen=True, slots=True)
class Copied:
    """A source whose bytes no longer change, and what its file looked like.

    begins_with  SHA-256 of its first bytes, as many as were asked for, "" where it has fewer
    """

    source: Source
    signature: Signature
    begins_with: str = ""


def signature(path: Path) -> Signature | None:
    """Return what a plain file looks like by now; None where there is none."""
    try:
        seen = path.stat()
    except OSError:
        return None
    return _signature(seen) if _plain(seen) else None


def _plain(seen: os.stat_result) -> bool:
    import stat

    return stat.S_ISREG(seen.st_mode)


def _signature(seen: os.stat_result) -> Signature:
    return seen.st_size, seen.st_mtime_ns, seen.st_ctime_ns, seen.st_ino


@contextmanager
def copied(path: Path, first: int = 0) -> Iterator[Copied]:
    """Yield a private copy of a file, which goes when it is left; the file itself is only read.

    first  how many bytes at its start to take a digest of as well

    Raises NotReadable for anything but a plain file of bearable size, StillChanging where the file was not the
    same before and after, NoRoom where the copy does not fit.
    """
    before = signature(path)
    if before is None:
        there = os.path.lexists(path)
        raise NotReadable("is no plain file" if there else "is not there", "Check the name.", place=str(path))
    if before[0] > LARGEST_FILE:
        raise NotReadable(f"has {before[0]} bytes", f"Files up to {LARGEST_FILE} bytes are read.", place=str(path))
    with tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY) as copy:
        digest, begins_with = _through(path, copy, before, first)
        source = Source(path.name, before[0], digest, _opener(copy))
        yield Copied(source, before, begins_with)


def _through(path: Path, copy: IO[bytes], before: Signature, first: int) -> tuple[str, str]:
    """Copy a file and return its digest and that of its first bytes."""
    changing = StillChanging("is still being written to", "It is taken when it is finished.", place=str(path))
    digest, begins_with, size = hashlib.sha256(), "", 0
    try:
        with path.open("rb") as file:
            if _signature(os.fstat(file.fileno())) != before:
                raise changing
            while block := file.read(min(1 << 20, first - size) if size < first else 1 << 20):
                size += len(block)
                if size > before[0]:
                    raise changing
                digest.update(block)
                copy.write(block)
                if size == first:
                    begins_with = digest.copy().hexdigest()
            if size != before[0] or _signature(os.fstat(file.fileno())) != before:
                raise changing
    except OSError as error:
        if error.errno in {errno.ENOSPC, errno.EDQUOT}:
            raise NoRoom("no room on the disk", "Nothing was taken. Make room and try again.") from error
        raise NotOpened(f"cannot be read: {error.strerror}", "Check its permissions.", place=str(path)) from None
    if signature(path) != before:  # another file may have been put in its place
        raise changing
    return digest.hexdigest(), begins_with


class _Reading(io.RawIOBase):
    """One reader of a copy, with a place of its own in it."""

    def __init__(self, copy: IO[bytes]) -> None:
        self._copy = copy
        self._place = 0

    def readable(self) -> bool:
        return True

    def readinto(self, room: bytearray | memoryview) -> int:  # type: ignore[override]
        self._copy.seek(self._place)
        found = self._copy.read(len(room))
        room[: len(found)] = found
        self._place += len(found)
        return len(found)


def _opener(copy: IO[bytes]) -> Callable[[], BinaryIO]:
    def opened() -> BinaryIO:
        return io.BufferedReader(_Reading(copy), 1 << 18)

    return opened
