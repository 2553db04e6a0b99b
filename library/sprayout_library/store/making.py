"""Making the folder of a library, and looking at one before it is opened."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

from sprayout_library.machine import synced_by, write_whole
from sprayout_library.store.errors import NotALibraryError, ReadOnlyError, UnsafeError
from sprayout_library.store.git import Git
from sprayout_library.store.shape import check_outline, check_settings

__all__ = ["begin", "looked_at", "make_bare"]

_SETTINGS = """\
[core]
\trepositoryformatversion = 0
\tfilemode = true
\tbare = true
[receive]
\tdenyNonFastForwards = true
\tdenyDeletes = true
\tfsckObjects = true
\tautogc = false
[gc]
\tauto = 0
"""
_MARK = re.compile(r"[0-9a-f]{16}")


def make_bare(folder: Path, more: str = "") -> None:
    """Make an empty bare repository with the settings a shared folder should have.

    Raises NotALibraryError where the folder already holds something else, ReadOnlyError where it may not be made.
    """
    if found := synced_by(folder.absolute()):
        raise UnsafeError(
            f"another program syncs this folder ({found})",
            "It would tear a library apart: choose a folder outside, and share with sprayout sync --to.",
            place=str(folder),
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()) and not _is_unfinished(folder):
            raise NotALibraryError("the folder is not empty", "Choose a new folder.", place=str(folder))
        Git(folder).run("init", "--quiet", "--bare", "--template=", "--initial-branch=main")
        write_whole(folder / "config", (_SETTINGS + more).encode("utf-8"))  # last: an unfinished one can be told
    except (PermissionError, NotADirectoryError, FileExistsError):
        raise ReadOnlyError(
            "no library can be made here", "Choose a folder you may write to.", place=str(folder)
        ) from None


def _is_unfinished(folder: Path) -> bool:
    """Say whether the folder holds an empty repository whose making was interrupted."""
    names = {entry.name for entry in folder.iterdir()}
    if not names <= {"HEAD", "config", "objects", "refs", "description", "branches", "hooks", "info"}:
        return False
    config = folder / "config"
    if config.exists() and "receive" in config.read_text(encoding="utf-8", errors="replace"):
        return False
    return not any(path.is_file() for name in ("objects", "refs") for path in (folder / name).rglob("*"))


def begin(folder: Path, mark: str, now: datetime) -> None:
    """Make the folder of a new library; `mark` tells it from any other folder that ever stood there."""
    made = now.strftime("%Y-%m-%dT%H:%M:%SZ")
    make_bare(folder, f"[sprayout]\n\tmark = {mark}\n\tmade = {made}\n")


def looked_at(folder: Path) -> str:
    """Return the mark of the library in a folder after looking at its shape and settings.

    Raises NotALibraryError or UnsafeError, naming what stands in the way.
    """
    if found := synced_by(folder):
        raise UnsafeError(
            f"another program syncs this folder ({found})",
            "It tears libraries apart: move it elsewhere, and share with sprayout sync --to.",
            place=str(folder),
        )
    if (folder / ".git").is_dir():
        raise NotALibraryError(
            "this is a plain copy for reading",
            "Read it as files, or make a library that joins it.",
            place=str(folder),
        )
    check_outline(folder)
    mark = check_settings(folder).get("sprayout.mark", "")
    if not _MARK.fullmatch(mark):
        raise NotALibraryError(
            "holds what shops share, but no library of this machine's",
            "Make a library that joins it.",
            place=str(folder),
        )
    return mark
