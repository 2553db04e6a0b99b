"""The fold: several heads become one commit that depends on nothing but the heads, so everyone makes the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial

from sprayout_core.documents import LARGEST
from sprayout_core.errors import SprayoutError
from sprayout_library.store import Commit, DamagedError, Git, Person, read_commit
from sprayout_library.store.commits import commit_bytes, fold_message
from sprayout_library.store.objects import EMPTY_TREE, Pile
from sprayout_library.store.reader import bulk, contents
from sprayout_library.store.trees import Trees
from sprayout_library.sync.apart import joined_texts
from sprayout_library.sync.errors import SyncError
from sprayout_library.sync.meeting import Meeting, Pair

__all__ = ["FOLDER", "FoldError", "commits_of", "fold", "folded", "independent"]

FOLDER = ("sprayout", "fold@sprayout.invalid")
"""Name and address of author and committer of every fold: nobody made it, everybody can make it again."""


class FoldError(SyncError):
    """Documents that cannot be joined; `head` is the head that brought the one that does not fit."""

    def __init__(self, head: str, cause: SprayoutError) -> None:
        super().__init__(cause.fault.problem, cause.fault.remedy, place=cause.fault.place)
        self.head = head


def commits_of(git: Git, names: Iterable[str]) -> Iterator[Commit]:
    """Yield commits, read, in the order asked."""
    for found, content in bulk(git, names):
        if found.kind != "commit":
            raise DamagedError(f"{found.id[:12]} is a {found.kind}, not a commit", "Run a check of the library.")
        yield read_commit(found.id, content)


def independent(git: Git, heads: Iterable[str]) -> list[str]:
    """Return the heads that are not ancestors of others, sorted."""
    wanted = sorted(set(heads))
    return wanted if len(wanted) < 2 else sorted(git.text("merge-base", "--independent", *wanted).splitlines())


def fold(git: Git, read: Trees, heads: Iterable[str], pile: Pile) -> str:
    """Return the commit that takes in all heads: the newest of them, or a fold put on the pile.

    read    gives the bytes of trees by their ids
    raises  FoldError naming the head whose documents cannot be joined with the others'
    """
    maximal = independent(git, heads)
    if len(maximal) == 1:
        return maximal[0]
    contents = read(maximal)
    return folded(git, read, [_commit(name, contents) for name in maximal], pile)


def folded(git: Git, read: Trees, heads: Sequence[Commit], pile: Pile) -> str:
    """Return the fold of heads that are sorted and none of which is an ancestor of another."""
    meeting = Meeting(read, partial(_joined, git))
    tree = heads[0].tree
    for place, head in enumerate(heads[1:], 1):
        try:
            tree = meeting.met(_base(git, read, head, heads[:place]), tree, head.tree)
        except _ApartError as error:
            raise FoldError(head.id, error.cause) from error.cause
    meeting.keep(tree, pile)
    keeper = Person(*FOLDER, max(head.committer.at for head in heads))
    parents = tuple(head.id for head in heads)
    return pile.add("commit", commit_bytes(tree, parents, keeper, keeper, fold_message()))


def _commit(name: str, contents: Mapping[str, bytes]) -> Commit:
    if name not in contents:
        raise DamagedError(f"commit {name[:12]} is missing", "Run a check of the library.")
    return read_commit(name, contents[name])


def _base(git: Git, read: Trees, head: Commit, before: Sequence[Commit]) -> str:
    """Return the tree of an ancestor that the head shares with one of those before it, or the empty tree."""
    from sprayout_library.store import GitError

    try:
        found = git.text("merge-base", head.id, *(other.id for other in before))
    except GitError as error:
        if error.status == 1 and not error.detail:  # no common ancestor: libraries that began apart
            return EMPTY_TREE
        raise
    return _commit(found, read([found])).tree


class _ApartError(Exception):
    """Two states of a document that cannot be joined."""

    def __init__(self, cause: SprayoutError) -> None:
        super().__init__(str(cause))
        self.cause = cause


def _joined(git: Git, pairs: Sequence[Pair], made: Mapping[str, bytes]) -> Iterator[bytes]:
    """Yield the joined content of pairs of blobs; one made by this fold is not in the repository yet."""
    wanted = [name for pair in pairs for name in pair if name not in made]
    read = contents(git, wanted, LARGEST)
    for pair in pairs:
        ours, theirs = (made[name] if name in made else next(read) for name in pair)
        try:
            yield joined_texts(ours, theirs)
        except SprayoutError as error:
            raise _ApartError(error) from error
