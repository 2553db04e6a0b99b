"""An index kept open between questions, for as long as a library stands where it stood."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from sprayout_library.index.opened import Index, asking
from sprayout_library.index.seal import Broken

if TYPE_CHECKING:
    from sprayout_library.store import Store

__all__ = ["OpenIndex"]

_TRIES = 5
Answer = TypeVar("Answer")


class OpenIndex:
    """The index of a library at one commit: opened by the first question, closed by `end`; one question at a time.

    Its files never change, so nothing that is asked here can be of another state. One that proves damaged is made anew.

    lock  held while a question is answered; the answer may ask again
    """

    def __init__(self, head: str | None, lock: threading.RLock | None = None) -> None:
        self._head, self._lock = head, lock or threading.RLock()
        self._index: Index | None = None
        self._ended = False

    @property
    def is_open(self) -> bool:
        """Whether files are held open."""
        return self._index is not None

    def asking(self, store: Store, action: Callable[[Index], Answer]) -> Answer:
        """Return what an action finds in the index; a store that reads elsewhere by now is answered for itself."""
        with self._lock:
            if store.head != self._head or self._ended:
                return asking(store, action)
            try:
                self._index = self._index or _opened(store)
                return action(self._index)
            except (Broken, sqlite3.DatabaseError) as error:
                self._close()
                self._index = Index.open(store, anew=str(error) or "damaged")
                return action(self._index)

    def end(self) -> None:
        """Close it once nobody asks; what is asked later is opened and closed for itself."""
        self._ended = True
        with self._lock:
            self._close()

    def _close(self) -> None:
        if self._index is not None:
            self._index.close()
            self._index = None


def _opened(store: Store) -> Index:
    """Return an index with every file of it open: whoever brings it forward may take files away at any time."""
    for _ in range(_TRIES):
        index = Index.open(store)
        try:
            for level in index.levels:
                level.colours.geometries()
        except FileNotFoundError:  # taken away just now
            index.close()
            continue
        except BaseException:
            index.close()
            raise
        return index
    raise Broken("the files vanish as they are opened")
