"""Looking through a folder: which files could bring readings, whatever is hidden or half-written left aside."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

__all__ = ["files_in", "passed_over"]

#: Endings of files that a program has not finished, or keeps for itself.
_UNFINISHED = (".tmp", ".temp", ".part", ".partial", ".crdownload", ".download", ".swp", ".lock", ".bak~")
_DEEPEST = 32


def passed_over(name: str) -> bool:
    """Say whether a file or folder of this name is hidden or temporary, and not looked at."""
    folded = name.casefold()
    return folded.startswith((".", "~", "#")) or folded.endswith(("~", "#", *_UNFINISHED))


def files_in(folder: Path) -> Iterator[Path]:
    """Yield every plain file below a folder that is not passed over; linked folders are not entered.

    A folder that cannot be read, or that goes meanwhile, is passed over: it is looked at again next time.
    """
    waiting = [(os.fspath(folder), 0)]
    while waiting:
        here, depth = waiting.pop()
        try:
            with os.scandir(here) as entries:
                found = sorted(entries, key=lambda entry: entry.name)
        except OSError:
            continue
        for entry in found:
            if passed_over(entry.name):
                continue
            try:
                if entry.is_dir(follow_symlinks=False):
                    if depth < _DEEPEST:
                        waiting.append((entry.path, depth + 1))
                elif entry.is_file():
                    yield Path(entry.path)
            except OSError:
                continue
