"""The references of a library: reading them all, and moving some together, each only from where it was seen."""

from __future__ import annotations

from collections.abc import Mapping

from sprayout_library.store.errors import BusyError, FullDiskError, GitError, StaleError
from sprayout_library.store.git import Git

__all__ = ["MAIN", "all_refs", "move"]

MAIN = "refs/heads/main"
_NONE = "0" * 40


def all_refs(git: Git, under: str = "refs/") -> dict[str, str]:
    """Return the commit of every reference under a prefix."""
    lines = git.text("for-each-ref", "--format=%(objectname) %(refname)", under).splitlines()
    return {name: commit for commit, _, name in (line.partition(" ") for line in lines)}


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
                "git left a lock on a reference behind, or is still busy",
                "Wait a moment; if it stays, run a check with repair.",
            ) from error
        if "but expected" in error.detail or "already exists" in error.detail or "unable to resolve" in error.detail:
            raise StaleError("the library moved on in between", "Do it again.") from error
        raise
