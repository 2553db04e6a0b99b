"""The journal of a spray day: one line a tap, on disk before it is told as kept, readable after a kill at any byte."""

from __future__ import annotations

import json
import os
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_library.machine import held

__all__ = ["Journal", "JournalError", "settled"]

#: No tap is longer; a longer line is no tap.
_LONGEST = 1_000_000


class JournalError(SprayoutError):
    """A journal that cannot be read or written."""


class Journal:
    """An append-only file of taps.

    A line is the tap as JSON, a tab, and the CRC-32 of the JSON in eight hex digits. A last line that is cut or does
    not agree with its sum was never told as kept: it is passed over, and cut off by the next tap. A spoilt line
    with whole ones after it is damage, and refused.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def begin(self, tap: Mapping[str, Any]) -> None:
        """Begin the file with its first tap. Raises JournalError where it exists or cannot be written."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        if self.path.exists() and self.taps():
            raise JournalError("this session was begun already", "Go on with it: sprayout spray.", place=self.path.name)
        self.append(tap)
        settled(self.path.parent)

    def taps(self) -> list[dict[str, Any]]:
        """Return every tap that was kept, in order. Raises JournalError for damage that is not at the end."""
        found, _ = self._read()
        return found

    def append(self, tap: Mapping[str, Any]) -> int:
        """Keep one more tap: when this returns, it is on the disk. Returns its place, counted from 0."""
        return self.add(tap, None)

    def add(self, tap: Mapping[str, Any], after: int | None) -> int:
        """Keep one more tap, only if `after` taps are kept so far (None: however many).

        Raises JournalError where another command was quicker, or where the disk does not take it.
        """
        text = json.dumps(tap, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))
        line = text.encode("utf-8")
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with held(self.path.with_suffix(".lock"), seconds=10):
                kept, whole = self._read()
                if after is not None and after != len(kept):
                    raise JournalError("another tap came in between", "Look at it and tap again: sprayout spray.")
                with self.path.open("ab") as file:
                    if file.tell() != whole:
                        file.truncate(whole)
                    file.write(line + b"\t%08x\n" % zlib.crc32(line))
                    file.flush()
                    os.fsync(file.fileno())
                return len(kept)
        except OSError as error:
            raise JournalError(
                f"the tap was not kept: {error.strerror}", "Make room on the disk, and tap again.", place=str(self.path)
            ) from None

    def _read(self) -> tuple[list[dict[str, Any]], int]:
        """Return the taps and how many bytes they take, the cut end left out."""
        try:
            content = self.path.read_bytes()
        except FileNotFoundError:
            return [], 0
        except OSError as error:
            raise JournalError(
                f"cannot be read: {error.strerror}", "Check its permissions.", place=str(self.path)
            ) from None
        found: list[dict[str, Any]] = []
        place = 0
        while place < len(content):
            end = content.find(b"\n", place)
            tap = _tap(content[place:end]) if end >= 0 else None
            if tap is None:
                self._refuse_inner_damage(content, place, len(found))
                break
            found.append(tap)
            place = end + 1
        return found, place

    def _refuse_inner_damage(self, content: bytes, place: int, kept: int) -> None:
        later = content[place:].split(b"\n")[1:]
        if any(_tap(line) is not None for line in later):
            raise JournalError(
                f"tap {kept + 1} is damaged, and later ones are whole",
                "Restore the file from a backup; nothing was changed.",
                place=str(self.path),
            )


def _tap(line: bytes) -> dict[str, Any] | None:
    """Return the tap of a line, None where the line does not agree with its sum."""
    text, tab, told = line.rpartition(b"\t")
    if not tab or len(text) > _LONGEST or told != b"%08x" % zlib.crc32(text):
        return None
    try:
        tap = json.loads(text)
    except ValueError:
        return None
    return tap if isinstance(tap, dict) else None


def settled(folder: Path) -> None:
    """Put the folder's list of files on the disk too; only POSIX can be asked for that."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
