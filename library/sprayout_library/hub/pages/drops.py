"""Files that were dropped, kept for a while between the preview and taking in."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, TypeVar

from sprayout_core.errors import SprayoutError

__all__ = ["Drops", "Upload"]

_MOST_BYTES = 64_000_000
_MOST_MADE = 8
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that was dropped: its name, and its whole content."""

    name: str
    content: bytes


class Drops:
    """The last few dropped files, each for whoever dropped it; the oldest go when there are too many bytes."""

    def __init__(self) -> None:
        self._held: dict[tuple[str, str], Upload] = {}
        self._made: dict[tuple[str, str, Hashable], Any] = {}
        self._lock = threading.Lock()

    def keep(self, whose: str, upload: Upload) -> str:
        """Keep a file and return the token it is asked for by."""
        token = secrets.token_urlsafe(12)
        with self._lock:
            self._held[whose, token] = upload
            while sum(len(one.content) for one in self._held.values()) > _MOST_BYTES and len(self._held) > 1:
                self._held.pop(next(iter(self._held)))
        return token

    def get(self, whose: str, token: str) -> Upload:
        """Return a file. Raises SprayoutError where it is not kept any more."""
        with self._lock:
            found = self._held.get((whose, token))
        if found is None:
            raise SprayoutError("that file is not kept here any more", "Drop it again.")
        return found

    def made(self, whose: str, token: str, how: Hashable, make: Callable[[Upload], Made]) -> Made:
        """Return what is made of a file in some way, made once; the oldest are made anew. Raises what `make` does."""
        upload = self.get(whose, token)
        with self._lock:
            found: Made | None = self._made.get((whose, token, how))
        if found is None:
            found = make(upload)
            with self._lock:
                self._made[whose, token, how] = found
                while len(self._made) > _MOST_MADE:
                    self._made.pop(next(iter(self._made)))
        return found

    def drop(self, whose: str, token: str) -> None:
        """Let a file go."""
        with self._lock:
            self._held.pop((whose, token), None)
            for name in [name for name in self._made if name[:2] == (whose, token)]:
                del self._made[name]
