"""What arrived, counted and weighed before any of it is read."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import IO

from sprayout_core.errors import Fault
from sprayout_library.store import DamagedError, Git, GitError
from sprayout_library.store.commits import Commit, read_commit
from sprayout_library.store.layout import KINDS, place_of
from sprayout_library.store.reader import bulk, lines_given, sizes
from sprayout_library.sync.gate.limits import Limits

__all__ = ["Arrival", "Change", "Changes", "arrived", "changes_of"]

_FOLDER, _NONE = "040000", "000000"
_KIND_FOLDER = re.compile(rf"(?:{'|'.join(KINDS)})(?:/[0-9a-f]{{2}}){{0,2}}", re.ASCII)


@dataclass(slots=True)
class Arrival:
    """The commits that arrived, parents first, and what is too large or wrongly written among them.

    commits   by id, parents first
    faults    by commit id: why it is refused
    large     by blob id: the size of documents that are too large
    """

    commits: dict[str, Commit] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    large: dict[str, int] = field(default_factory=dict)
    order: list[str] = field(default_factory=list)
    parents: dict[str, list[str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Change:
    """One changed path of a commit: modes and blob ids before and after ("" where there is none)."""

    path: str
    old_mode: str
    new_mode: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Changes:
    """What one commit changed: documents, and the folders that its trees say were changed."""

    commit: str
    files: list[Change]
    folders: frozenset[str]


def arrived(git: Git, heads: Iterable[str], known: Iterable[str], limits: Limits) -> tuple[Arrival, list[Fault]]:
    """Return what the heads bring that the known commits do not hold, and the faults that refuse it whole."""
    words = ["--end-of-options", *sorted(set(heads)), *(f"^{commit}" for commit in sorted(set(known)))]
    arrival = Arrival()
    lines = git.text("rev-list", "--topo-order", "--reverse", "--parents", f"--max-count={limits.commits + 1}", *words)
    for line in lines.splitlines():
        name, *parents = line.split(" ")
        arrival.order.append(name)
        arrival.parents[name] = parents
    if len(arrival.order) > limits.commits:
        return arrival, [Fault("", f"more than {limits.commits} commits at once", "Nothing was taken.")]
    if faults := _weigh(git, words, arrival, limits):
        return arrival, faults
    fit = [name for name in arrival.order if name not in arrival.faults]
    for found, content in bulk(git, fit):
        try:
            arrival.commits[found.id] = read_commit(found.id, content)
        except DamagedError as error:
            arrival.faults[found.id] = error.fault
    return arrival, []


def _weigh(git: Git, words: Sequence[str], arrival: Arrival, limits: Limits) -> list[Fault]:
    """Look at the size of every object; none is read."""
    try:
        names = git.text("rev-list", "--objects", "--no-object-names", *words, seconds=600).split()
    except GitError:
        return [Fault("", "its trees cannot be walked", "Nothing was taken.")]
    if len(names) > limits.objects:
        return [Fault("", f"more than {limits.objects} objects at once", "Nothing was taken.")]
    total = 0
    for found in sizes(git, names):
        total += found.size
        if found.kind == "blob" and found.size > limits.document:
            arrival.large[found.id] = found.size
        elif found.kind == "commit" and found.size > limits.commit:
            arrival.faults[found.id] = Fault(
                found.id[:12], f"a commit of {found.size} bytes", f"At most {limits.commit}."
            )
        elif found.kind == "tree" and found.size > limits.tree:
            return [
                Fault(
                    found.id[:12],
                    f"a tree of {found.size} bytes",
                    f"At most {limits.tree}; nothing was taken.",
                )
            ]
        elif found.kind == "tag":
            return [Fault(found.id[:12], "a tag object", "A library has none; nothing was taken.")]
    if total > limits.total:
        return [
            Fault(
                "",
                f"{total // 1_000_000} MB unpacked",
                f"At most {limits.total // 1_000_000}; nothing was taken.",
            )
        ]
    return []


def changes_of(git: Git, commits: Sequence[str]) -> Iterator[Changes]:
    """Yield what each commit with at most one parent changed, in the order asked.

    A tree that unfolds into millions of paths is left at the first path that no library has.
    """
    waiting = list(commits)
    while waiting:
        count = 0
        for changes in _some_changes(git, waiting):
            count += 1
            yield changes
        waiting = waiting[count:] if count else []


def _some_changes(git: Git, commits: Sequence[str]) -> Iterator[Changes]:
    """Yield changes until the first commit with a path that no library has, which is the last one yielded."""
    words = (
        "diff-tree",
        "--stdin",
        "--root",
        "-r",
        "-t",
        "-z",
        "--raw",
        "--no-renames",
        "--no-abbrev",
        "--always",
    )
    with lines_given(commits) as given, git.started(*words, given=given) as process:
        if process.stdout is None:
            raise DamagedError("git gave no pipe to read from", "Try again.")
        pieces = _pieces(process.stdout)
        commit = ""
        files: list[Change] = []
        folders: set[str] = set()
        for piece in pieces:
            if not piece.startswith(b":"):
                if commit:
                    yield Changes(commit, files, frozenset(folders))
                commit, files, folders = piece.strip().decode("ascii"), [], set()
                continue
            old_mode, new_mode, old, new, _ = piece[1:].decode("ascii").split(" ")
            path = next(pieces).decode("utf-8", "backslashreplace")
            if new_mode == _FOLDER and old_mode in {_FOLDER, _NONE} and _KIND_FOLDER.fullmatch(path):
                folders.add(path)
                continue
            files.append(Change(path, old_mode, new_mode, _named(old), _named(new)))
            if place_of(path) is None:
                break
        if commit:
            yield Changes(commit, files, frozenset(folders))


def _named(name: str) -> str:
    return name if name.strip("0") else ""


def _pieces(pipe: IO[bytes]) -> Iterator[bytes]:
    """Yield what stands between zero bytes, without holding much of it."""
    rest = b""
    while block := pipe.read1(1 << 16) if hasattr(pipe, "read1") else pipe.read(1 << 16):
        *whole, rest = (rest + block).split(b"\0")
        yield from whole
    if rest:
        raise DamagedError("a comparison of trees is cut off", "Try again.")
