"""How often a visitor may ask, and how many wrong tokens an address may try; kept in memory, bounded."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field

__all__ = ["Rates"]

_MOST_KEPT = 20_000


@dataclass(slots=True)
class Rates:
    """Buckets that leak: one for each key, filled by what is asked, emptied by time.

    room     how much a bucket holds
    leak     how much runs out of it each second
    """

    room: float
    leak: float
    clock: Callable[[], float] = time.monotonic
    _held: OrderedDict[str, tuple[float, float]] = field(default_factory=OrderedDict)

    def waits(self, key: str) -> float:
        """Return after how many seconds there is room again; 0 where there is."""
        level = self._level(key)
        return 0.0 if level + 1 <= self.room else (level + 1 - self.room) / self.leak

    def take(self, key: str) -> float:
        """Fill one in where there is room and return 0; else return after how many seconds there is."""
        waits = self.waits(key)
        if not waits:
            self._held[key] = (self._level(key) + 1, self.clock())
            self._held.move_to_end(key)
            while len(self._held) > _MOST_KEPT:
                self._held.popitem(last=False)
        return waits

    def _level(self, key: str) -> float:
        level, at = self._held.get(key, (0.0, 0.0))
        return max(0.0, level - (self.clock() - at) * self.leak)
