"""One writer at a time: a lock that dies with the process that holds it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sprayout_core.errors import SprayoutError

__all__ = ["LockedError", "held"]


class LockedError(SprayoutError):
    """Another command holds the lock and did not let go in time."""


@contextmanager
def held(path: Path, *, seconds: float) -> Iterator[None]:
    """Hold the lock file `path` while inside, waiting up to `seconds` for another command to finish.

    The system releases the lock when its process ends, however it ends, so no stale lock can remain.
    Raises LockedError, or OSError where the folder cannot be written.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(path, timeout=seconds)
    try:
        lock.acquire(poll_interval=0.02)
    except Timeout:
        raise LockedError(
            "another command is writing",
            f"Wait for it to finish; after {seconds:g} seconds this one gave up.",
            place=path.name,
        ) from None
    try:
        yield
    finally:
        lock.release()
