"""A journal: lines of JSON that are only ever added, each safely on disk before anything rests on it."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_library.inbox.copying import NoRoom

__all__ = ["Journal", "JournalError"]


class JournalError(SprayoutError):
    """A journal that cannot be read or written."""


class Journal:
    """One file of entries in the order they were made.

    A last line cut off by a power cut or a kill is passed over, and the next entry begins a line of its own. Only
    whoever holds the inbox's lock adds; anybody may read.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._read_to = 0

    def fresh(self) -> Iterator[tuple[int, dict[str, Any]]]:
        """Yield (place, entry) of every entry that was added since this was last asked."""
        try:
            with self.path.open("rb") as file:
                if file.seek(0, os.SEEK_END) < self._read_to:  # somebody put another journal here
                    self._read_to = 0
                file.seek(self._read_to)
                while (line := file.readline()).endswith(b"\n"):
                    place, self._read_to = self._read_to, self._read_to + len(line)
                    entry = _entry(line)
                    if entry is not None:
                        yield place, entry
        except FileNotFoundError:
            self._read_to = 0
        except OSError as error:
            raise self._told(error) from None

    def at(self, place: int) -> dict[str, Any]:
        """Return the entry that begins at a place. Raises JournalError where none does."""
        try:
            with self.path.open("rb") as file:
                file.seek(place)
                entry = _entry(file.readline())
        except OSError as error:
            raise self._told(error) from None
        if entry is None:
            raise JournalError("an entry is damaged", "Import the file it came from again.", place=str(self.path))
        return entry

    def add(self, entries: Iterable[Mapping[str, Any]]) -> None:
        """Add entries, all or none, and return once they are on disk. Raises NoRoom, JournalError."""
        text = "".join(json.dumps(entry, separators=(",", ":")) + "\n" for entry in entries).encode("ascii")
        if not text:
            return
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self.path.open("ab") as file:
                end = file.tell()
                try:
                    file.write((b"" if self._ends_whole(end) else b"\n") + text)
                    file.flush()
                    os.fsync(file.fileno())
                except OSError:
                    file.truncate(end)
                    raise
        except OSError as error:
            raise self._told(error) from None

    def _ends_whole(self, end: int) -> bool:
        if not end:
            return True
        with self.path.open("rb") as file:
            file.seek(end - 1)
            return file.read(1) == b"\n"

    def _told(self, error: OSError) -> SprayoutError:
        if error.errno in {errno.ENOSPC, errno.EDQUOT}:
            return NoRoom("no room on the disk", "Make room: it is tried again.", place=str(self.path))
        return JournalError(
            f"cannot be read or written: {error.strerror}", "Check its permissions.", place=str(self.path)
        )


def _entry(line: bytes) -> dict[str, Any] | None:
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return entry if isinstance(entry, dict) else None
