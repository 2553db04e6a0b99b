"""What can go wrong while a library is kept, each as an error with its remedy."""

from __future__ import annotations

from sprayout_core.errors import SprayoutError

__all__ = [
    "BusyError",
    "DamagedError",
    "FullDiskError",
    "GitError",
    "GitTimeoutError",
    "NotALibraryError",
    "ReadOnlyError",
    "StaleError",
    "StoreError",
    "UnsafeError",
]


class StoreError(SprayoutError):
    """Anything that went wrong while a library was opened, read or written."""


class NotALibraryError(StoreError):
    """The folder holds no library, or something stands in the way of making one."""


class UnsafeError(StoreError):
    """A folder, address or setting that could make git run or write what nobody asked for."""


class StaleError(StoreError):
    """A document changed underneath between reading it and saving it."""


class BusyError(StoreError):
    """Another command is writing to the same library."""


class ReadOnlyError(StoreError):
    """The library's folder may not be written."""


class FullDiskError(StoreError):
    """The disk has no room left; the last complete state stands."""


class DamagedError(StoreError):
    """Something in the library is missing or not what it was."""


class GitError(StoreError):
    """Git refused or failed; `detail` keeps its own words, `output` what it wrote, `status` its exit."""

    def __init__(
        self,
        problem: str,
        remedy: str = "",
        *,
        place: str = "",
        detail: str = "",
        output: str = "",
        status: int = 1,
    ) -> None:
        super().__init__(problem, remedy, place=place)
        self.detail = detail
        self.output = output
        self.status = status


class GitTimeoutError(GitError):
    """Git did not answer within the time it was given and was stopped."""
