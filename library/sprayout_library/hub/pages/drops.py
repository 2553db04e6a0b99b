"""Files that were dropped, kept for a while between the preview and taking in."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError

__all__ = ["Drops", "Upload"]

_MOST_BYTES = 64_000_000


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that was dropped: its name, and its whole content."""

    name: str
    content: bytes


class Drops:
    """The last few dropped files, each for whoever dropped it; the oldest go when there are too many bytes."""

    def __init__(self) -> None:
        self._held: dict[tuple[str, str], Upload] = {}
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

    def drop(self, whose: str, token: str) -> None:
        """Let a file go."""
        with self._lock:
            self._held.pop((whose, token), None)
