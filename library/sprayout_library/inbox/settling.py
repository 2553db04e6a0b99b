"""Settling: when a file is finished, from what is seen of it and from what the system tells of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sprayout_library.inbox.copying import Signature

__all__ = ["Settling"]


@dataclass(slots=True)
class _Mark:
    seen: Signature | None = None
    since: float = 0.0
    open: bool = False
    not_before: float = 0.0


class Settling:
    """The files that something happened to, until each is finished.

    A file is finished when size, times and inode stayed the same for `quiet` seconds and, where the system tells
    of closing, no program that wrote to it still has it open. A writer that is never heard to close (the word may
    be lost, some keep a file open all day) is waited for `patience` seconds of quiet: what it adds later is taken
    then. Times are seconds of any steady clock, given by whoever asks.
    """

    def __init__(self, quiet: float, patience: float) -> None:
        self.quiet = quiet
        self.patience = max(patience, quiet)
        self._marks: dict[Path, _Mark] = {}

    def __len__(self) -> int:
        return len(self._marks)

    def __contains__(self, path: Path) -> bool:
        return path in self._marks

    def touched(self, path: Path) -> None:
        """Note that a file is to be looked at: it was found, or something happened to it."""
        self._marks.setdefault(path, _Mark())

    def written(self, path: Path) -> None:
        """Note that a program writes to a file and is to be heard closing it."""
        mark = self._marks.setdefault(path, _Mark())
        mark.open = True
        mark.seen = None

    def closed(self, path: Path) -> None:
        """Note that the program that wrote to a file closed it, or that it was moved here whole."""
        self._marks.setdefault(path, _Mark()).open = False

    def gone(self, path: Path) -> None:
        """Forget a file that was taken away."""
        self._marks.pop(path, None)

    def put_off(self, path: Path, until: float) -> None:
        """Look at a file again later: it could not be taken, for a reason that may pass by itself."""
        self._marks.setdefault(path, _Mark()).not_before = until

    def marked(self) -> set[Path]:
        """Return the files that something happened to and that are not done with."""
        return set(self._marks)

    def expected(self, now: float) -> int:
        """Return how many files may be finished soon: all that are not put off."""
        return sum(mark.not_before <= now for mark in self._marks.values())

    def is_open(self, path: Path) -> bool:
        """Say whether a program is known to be writing to a file."""
        return path in self._marks and self._marks[path].open

    def finished(self, look: Callable[[Path], Signature | None], now: float) -> list[Path]:
        """Return the files that are finished by now, in order of name; they stay marked until `gone`."""
        ready = []
        for path, mark in list(self._marks.items()):
            seen = look(path)
            if seen is None:
                del self._marks[path]
            elif seen != mark.seen:
                mark.seen, mark.since = seen, now
            elif now >= mark.not_before and now - mark.since >= (self.patience if mark.open else self.quiet):
                ready.append(path)
        return sorted(ready)
