"""What can go wrong between copies of a library."""

from __future__ import annotations

from sprayout_core.errors import SprayoutError

__all__ = ["RefusedError", "RemoteError", "SyncError", "UnreachableError"]


class SyncError(SprayoutError):
    """Anything that went wrong between copies of a library; the local library is as it was."""


class RemoteError(SyncError):
    """An address that is not used, or a remote that is not what it should be."""


class UnreachableError(SyncError):
    """The other side did not answer; everything saved here waits and goes out next time."""


class RefusedError(SyncError):
    """Something that arrived does not follow the rules and was not taken in."""
