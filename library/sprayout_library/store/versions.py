"""The versions of one document, from the repository's log."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sprayout_library.store.commits import read_commit
from sprayout_library.store.errors import DamagedError, StoreError
from sprayout_library.store.git import environment
from sprayout_library.store.layout import ID, KINDS, path_of

if TYPE_CHECKING:
    import git

    from sprayout_library.store.store import Store

__all__ = ["Version", "repository", "versions"]


@dataclass(frozen=True, slots=True)
class Version:
    """One version of a document.

    commit   the commit that brought it; `what` it was: edit, packet or fold
    at       when its author made it, UTC; a fold carries the latest time of what it folds
    author   the handle of who made it; "" for a fold
    copy     the copy of the library it was made in; "" for a fold
    blob     names the exact content
    message  what was done, in the author's words
    """

    commit: str
    at: datetime
    author: str
    copy: str
    blob: str
    what: str
    message: str


@contextmanager
def repository(store: Store) -> Iterator[git.Repo]:
    """Open the library through GitPython with the settings of the wrapper, closed at the end."""
    import git

    with git.Repo(store.folder, expand_vars=False) as opened:
        opened.git.update_environment(**environment(), GIT_DIR=str(store.folder))
        yield opened


def versions(store: Store, name: str) -> list[Version]:
    """Return every version of a document, newest first; a fold counts where it made a state of its own."""
    if not ID.fullmatch(name):
        raise StoreError(f"{name[:60]!r} is no id", "Ids are UUIDs in lower case.")
    if store.head is None:
        return []
    paths = [path_of(kind, name) for kind in KINDS]
    found = [one is not None for one in store.reader.infos([f"{store.head}:{path}" for path in paths])]
    if True not in found:
        return []
    path = paths[found.index(True)]
    with repository(store) as opened:
        commits = [
            (commit.hexsha, [parent.hexsha for parent in commit.parents])
            for commit in opened.iter_commits(store.head, paths=path, full_history=True)
        ]
    told: list[Version] = []
    for commit, parents in commits:
        here, *before = store.reader.infos([f"{name}:{path}" for name in (commit, *parents)])
        if here is not None and all(one is None or one.id != here.id for one in before):
            told.append(_version(store, commit, here.id))
    return told


def _version(store: Store, name: str, blob: str) -> Version:
    content = store.reader.content(name)
    if content is None:
        raise DamagedError(f"commit {name[:12]} is missing", "Run a check of the library.")
    commit = read_commit(name, content)
    author = "" if commit.what == "fold" else commit.author.name
    at = datetime.fromtimestamp(commit.author.at, UTC)
    return Version(name, at, author, commit.copy, blob, commit.what, commit.subject)
