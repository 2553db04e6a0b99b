"""The references of a library: reading them all, and moving some together, each only from where it was seen."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from sprayout_library.store.errors import BusyError, FullDiskError, GitError, StaleError
from sprayout_library.store.git import Git

__all__ = ["MAIN", "all_refs", "move", "one_ref"]

MAIN = "refs/heads/main"
_NONE = "0" * 40
_COMMIT = re.compile(rb"[0-9a-f]{40}\n?")


def all_refs(git: Git, under: str = "refs/") -> dict[str, str]:
    """Return the commit of every reference under a prefix, read from the repository's files without starting git.

    Loose ones are read before packed ones: git writes the packed file before it takes the loose one away.
    """
    loose: dict[str, str] = {}
    top = git.folder / under.rstrip("/") if under.endswith("/") else git.folder / "refs"
    for path in _files(top):
        name = path.relative_to(git.folder).as_posix()
        with suppress(OSError):
            content = path.read_bytes()
            if name.startswith(under) and _COMMIT.fullmatch(content):
                loose[name] = content[:40].decode("ascii")
    return dict(sorted((_packed(git, under) | loose).items()))


def one_ref(git: Git, name: str) -> str | None:
    """Return the commit of one reference, or None; as `all_refs` reads them, without looking at the others."""
    with suppress(OSError), (git.folder / name).open("rb") as file:
        content = file.read(64)
        if _COMMIT.fullmatch(content):
            return content[:40].decode("ascii")
    return _packed(git, name).get(name)


def _files(folder: Path) -> list[Path]:
    try:
        entries = list(os.scandir(folder))
    except (FileNotFoundError, NotADirectoryError):
        return []
    found: list[Path] = []
    for entry in entries:
        if entry.is_dir(follow_symlinks=False):
            found += _files(Path(entry.path))
        elif not entry.name.endswith(".lock"):
            found.append(Path(entry.path))
    return found


def _packed(git: Git, under: str) -> dict[str, str]:
    try:
        lines = (git.folder / "packed-refs").read_text(encoding="utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return {}
    parts = (line.partition(" ") for line in lines if line and line[0] not in "#^")
    return {name: commit for commit, _, name in parts if name.startswith(under)}


def move(git: Git, moves: Mapping[str, tuple[str | None, str | None]], reason: str) -> None:
    """Move references together or not at all (compare-and-swap).

    moves   for each reference: the commit it must stand at now (None: it must not exist), and where it goes
            (None: it is taken away)
    Raises StaleError when one of them stands elsewhere by now, BusyError for a lock that git left behind.
    """
    lines = ["start"]
    for name, (before, after) in moves.items():
        if before == after:
            continue  # nothing to do, and nothing to be held against it
        verb = "update" if after else "delete"
        lines.append(" ".join([verb, name, *([after] if after else []), before or _NONE]))
    if len(lines) == 1:
        return
    lines += ["prepare", "commit", ""]
    try:
        git.run("update-ref", "-m", reason, "--create-reflog", "--stdin", given="\n".join(lines).encode("ascii"))
    except FullDiskError:
        raise
    except GitError as error:
        if "File exists" in error.detail:
            raise BusyError(
                "a lock was left behind, or another command is still busy",
                "Wait a moment; if it stays: sprayout check --mend.",
            ) from error
        if "but expected" in error.detail or "already exists" in error.detail or "unable to resolve" in error.detail:
            raise StaleError("the library moved on in between", "Do it again.") from error
        raise
