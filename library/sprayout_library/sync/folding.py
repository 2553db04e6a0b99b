"""The fold: several heads become one commit that depends on nothing but the heads, so everyone makes the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from sprayout_core.documents import stored
from sprayout_core.errors import SprayoutError
from sprayout_library.store import Commit, DamagedError, Git, Person, read_commit
from sprayout_library.store.commits import commit_bytes, fold_message
from sprayout_library.store.objects import EMPTY_TREE, Pile
from sprayout_library.store.reader import bulk
from sprayout_library.store.trees import Trees, changed_between, changed_tree
from sprayout_library.sync.apart import decoded, joined_quickly
from sprayout_library.sync.errors import SyncError

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
    return maximal[0] if len(maximal) == 1 else folded(git, read, list(commits_of(git, maximal)), pile)


def folded(git: Git, read: Trees, heads: Sequence[Commit], pile: Pile) -> str:
    """Return the fold of heads that are sorted and none of which is an ancestor of another."""
    first = heads[0]
    overlay: dict[str, str] = {}
    made: dict[str, bytes] = {}
    for place, head in enumerate(heads[1:], 1):
        _take_in(git, heads[:place], head, overlay, made)
    for name, content in made.items():
        if name in overlay.values():
            pile.add("blob", content)
    tree = changed_tree(read, first.tree, overlay, pile) if overlay else first.tree
    keeper = Person(*FOLDER, max(head.committer.at for head in heads))
    parents = tuple(head.id for head in heads)
    return pile.add("commit", commit_bytes(tree, parents, keeper, keeper, fold_message()))


def _take_in(git: Git, before: Sequence[Commit], head: Commit, overlay: dict[str, str], made: dict[str, bytes]) -> None:
    """Take one more head into the state that `before` and the overlay make.

    What a head holds unchanged since an ancestor it shares with those before it is contained in their state
    already (the law of edits: a state joined with an earlier one is itself), so only what changed is joined.
    """
    apart = changed_between(git, before[0].tree, head.tree)
    base = _base(git, head, before)
    since = apart if base == before[0].tree else changed_between(git, base, head.tree)
    unclear: list[tuple[str, str, str]] = []
    for path, (old, theirs) in since.items():
        if not theirs:
            continue
        ours = overlay.get(path) or apart.get(path, (theirs, theirs))[0]
        if ours in {"", old}:
            overlay[path] = theirs
        elif ours != theirs:
            unclear.append((path, ours, theirs))
    for path, content in _joined(git, unclear, made, head.id):
        name = _blob(content)
        made[name] = content
        overlay[path] = name


def _base(git: Git, head: Commit, before: Sequence[Commit]) -> str:
    """Return the tree of an ancestor that the head shares with one of those before it, or the empty tree."""
    from sprayout_library.store import GitError

    try:
        found = git.text("merge-base", head.id, *(other.id for other in before))
    except GitError as error:
        if error.status == 1 and not error.detail:  # no common ancestor: libraries that began apart
            return EMPTY_TREE
        raise
    return git.text("rev-parse", "--verify", "--end-of-options", f"{found}^{{tree}}")


def _blob(content: bytes) -> str:
    from sprayout_library.store.objects import object_id

    return object_id("blob", content)


def _joined(
    git: Git, unclear: Sequence[tuple[str, str, str]], made: Mapping[str, bytes], head: str
) -> Iterator[tuple[str, bytes]]:
    """Yield (path, joined content) of two states each; a blob made by this fold is not in the repository yet."""
    wanted = [name for _, ours, theirs in unclear for name in (ours, theirs) if name not in made]
    contents = bulk(git, wanted)
    for path, ours, theirs in unclear:
        pair = [made[name] if name in made else next(contents)[1] for name in (ours, theirs)]
        try:
            yield path, stored(joined_quickly(decoded(pair[0]), decoded(pair[1])))
        except SprayoutError as error:
            raise FoldError(head, error) from error
