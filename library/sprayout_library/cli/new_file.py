"""A new file beside the work: written whole, never over one that is there."""

from __future__ import annotations

from pathlib import Path

from sprayout_core.errors import SprayoutError

__all__ = ["put_new", "room_for"]


def room_for(path: Path) -> None:
    """Raise SprayoutError where a new file cannot be called that, before any work is done for it."""
    if path.exists():
        raise SprayoutError("there is a file already", "Choose another name.", place=str(path))
    if not path.parent.is_dir():
        raise SprayoutError(f"there is no folder {path.parent}", "Make it first.", place=str(path))


def put_new(path: Path, content: bytes) -> None:
    """Write a new file in one step. Raises SprayoutError where that fails."""
    from sprayout_library.machine import write_whole

    room_for(path)
    try:
        write_whole(path, content)
    except OSError as error:
        raise SprayoutError(f"cannot be written: {error.strerror}", "Choose another place.", place=str(path)) from None
