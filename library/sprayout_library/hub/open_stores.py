"""Libraries kept open between requests: taken by one request at a time, closed when the server stops."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sprayout_library.store import Store

__all__ = ["OpenStores"]

_Stamp = tuple[int, ...]
_Free = tuple["Store", _Stamp]


@dataclass(slots=True)
class OpenStores:
    """Stores that wait for the next request; each holds one child process that reads.

    A store that waits is used only while the very folder it was opened in still stands there, settings untouched.

    each  that wait at most for one library, `most` for all of them; the library asked for least lately goes first
    """

    each: int = 6
    most: int = 24
    _free: dict[Path, deque[_Free]] = field(default_factory=dict)
    _turn: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @contextmanager
    def store(self, folder: Path) -> Iterator[Store]:
        """Open a library at its newest state, or take a store that waits; it is nobody else's while inside.

        Raises what `Store.open` raises.
        """
        from sprayout_library.store import Store

        turn, stamp = self._turn, _stamp(folder)
        store = self._taken(folder, stamp)
        if store is None:
            store = Store.open(folder)
        else:
            try:
                store.refresh()
            except BaseException:
                store.close()
                raise
        try:
            yield store
        except BaseException:
            store.close()
            raise
        self._put_back(folder, (store, stamp), turn)

    def waiting(self) -> int:
        """Return how many stores wait."""
        with self._lock:
            return sum(map(len, self._free.values()))

    def close(self) -> None:
        """Close every store that waits, and each that is in use as soon as it is not."""
        with self._lock:
            self._turn += 1
            waiting = [store for free in self._free.values() for store, _ in free]
            self._free.clear()
        for store in waiting:
            store.close()

    def _taken(self, folder: Path, stamp: _Stamp) -> Store | None:
        """Return a store that waits, or None; those of another folder that stood there are closed."""
        with self._lock:
            free = self._free.get(folder, deque())
            gone = [one for one, seen in free if seen != stamp]
            if gone:
                self._free[folder] = free = deque(pair for pair in free if pair[1] == stamp)
            found = free.pop()[0] if free else None
        for one in gone:
            one.close()
        return found

    def _put_back(self, folder: Path, free: _Free, turn: int) -> None:
        closing = [free[0]]
        with self._lock:
            if turn == self._turn:
                held = self._free.pop(folder, deque())  # put in anew: it is the one asked for last
                self._free[folder] = held
                held.append(free)
                closing = [held.popleft()[0]] if len(held) > self.each else self._over()
        for one in closing:
            one.close()

    def _over(self) -> list[Store]:
        """Take out stores that are too many, of the library asked for least lately."""
        if sum(map(len, self._free.values())) <= self.most:
            return []
        eldest = next(folder for folder, held in self._free.items() if held)
        found = self._free[eldest].popleft()[0]
        if not self._free[eldest]:
            del self._free[eldest]
        return [found]


def _stamp(folder: Path) -> _Stamp:
    """Return what tells a library's folder and its settings from others that stand there later."""
    try:
        here, settings = folder.stat(), (folder / "config").stat()
    except OSError:
        return ()  # opening it says what is the matter
    return here.st_dev, here.st_ino, settings.st_ino, settings.st_mtime_ns, settings.st_size
