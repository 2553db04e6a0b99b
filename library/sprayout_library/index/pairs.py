"""Pairs of ids by the million: what belongs to what, in thirty-two bytes each, told in order."""

from __future__ import annotations

import numpy as np

from sprayout_library.index.rows import key

__all__ = ["Pairs"]

_SIZE = 32
_MANY = 2000


class Pairs:
    """Pairs of ids; put into a table in order, each of its pages is written once."""

    def __init__(self) -> None:
        self._raw = bytearray()
        self._said: list[str] = []
        self._count = 0

    def __len__(self) -> int:
        return self._count

    def add(self, one: str, other: str) -> None:
        """Add a pair."""
        self._said.append(one + other)
        self._count += 1
        if len(self._said) >= _MANY:
            self._packed()

    def _packed(self) -> None:
        self._raw += key("".join(self._said))
        self._said.clear()

    def ordered(self) -> bytes:
        """Return the pairs as keys, one after the other, ascending. Raises ValueError where something was no id."""
        self._packed()
        if len(self._raw) != _SIZE * self._count:
            raise ValueError("an id that has not sixteen bytes")
        ranked = np.frombuffer(self._raw, ">u8").reshape(-1, 4).astype(np.uint64)
        order = np.lexsort(ranked.T[::-1])
        return np.frombuffer(self._raw, np.uint8).reshape(-1, _SIZE)[order].tobytes()
