"""What pages showed lately, ready to be shown again: each under a key that tells everything it was made from."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from sprayout_library.hub.pages.visit import Reply

__all__ = ["Views"]

Made = TypeVar("Made")

#: Bytes that a part of a page counts as; whole pages count as what was written of them.
_PART = 50_000


class Views:
    """A bounded store of view data; the one looked at least lately goes first.

    Nothing is ever made invalid here: a key names the state of the library, so what another state shows has another
    key. No token, form or name of a visitor may be in what is kept.

    most  bytes of pages, as they were sent, that stand for the data they were made from
    """

    def __init__(self, most: int = 16_000_000) -> None:
        self._most, self._size = most, 0
        self._kept: OrderedDict[Hashable, tuple[Any, int]] = OrderedDict()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        return len(self._kept)

    @property
    def size(self) -> int:
        """Bytes counted by now."""
        return self._size

    def reply(self, key: Hashable) -> Reply | None:
        """Return what a page answered under a key, or None."""
        found: Reply | None = self._found(key)
        return found

    def keep(self, key: Hashable, reply: Reply, size: int) -> None:
        """Keep what a page answered; `size` is that of the page as it was sent."""
        self._put(key, reply, size)

    def once(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """Return what was made under a key, made now where it is not kept; `make` gives no None."""
        found: Made | None = self._found(key)
        if found is None:
            found = make()
            self._put(key, found, _PART)
        return found

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._kept.clear()
            self._size = 0

    def _found(self, key: Hashable) -> Any:
        with self._lock:
            held = self._kept.get(key)
            if held is None:
                return None
            self._kept.move_to_end(key)
            return held[0]

    def _put(self, key: Hashable, value: Any, size: int) -> None:
        if 4 * size > self._most:  # one alone never takes the room of all others
            return
        with self._lock:
            before = self._kept.pop(key, None)
            self._size += size - (before[1] if before else 0)
            self._kept[key] = value, size
            while self._size > self._most:
                _, (_, gone) = self._kept.popitem(last=False)
                self._size -= gone
