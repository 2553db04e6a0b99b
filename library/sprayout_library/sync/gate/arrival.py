"""What arrived, counted and weighed before any of it is read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from sprayout_core.errors import Fault
from sprayout_library.store import DamagedError, Git, GitError
from sprayout_library.store.commits import Commit, read_commit
from sprayout_library.store.reader import Found, ObjectReader, bulk, sizes
from sprayout_library.sync.gate.limits import Limits

__all__ = ["Arrival", "arrived"]


_FEW = 60
"""Up to this many commits are asked for one by one."""

_MANY = 200_000
"""Up to this many objects their sizes are told together."""


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


def arrived(
    git: Git, reader: ObjectReader, heads: Iterable[str], known: Iterable[str], limits: Limits
) -> tuple[Arrival, list[Fault]]:
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
    for name, content in _read(git, reader, fit):
        try:
            arrival.commits[name] = read_commit(name, content)
        except DamagedError as error:
            arrival.faults[name] = error.fault
    return arrival, []


def _read(git: Git, reader: ObjectReader, names: Sequence[str]) -> Iterator[tuple[str, bytes]]:
    """Yield commits with their bytes: a few through the kept child, many in one stream."""
    if len(names) <= _FEW:
        yield from ((name, content) for name in names if (content := reader.content(name)) is not None)
    else:
        yield from ((found.id, content) for found, content in bulk(git, names))


def _weigh(git: Git, words: Sequence[str], arrival: Arrival, limits: Limits) -> list[Fault]:
    """Look at the size of every object; none is read."""
    try:
        names = git.run("rev-list", "--objects", "--no-object-names", *words, seconds=600)
    except GitError:
        return [Fault("", "its trees cannot be walked", "Nothing was taken.")]
    count = names.count(b"\n")
    if count > limits.objects:
        return [Fault("", f"more than {limits.objects} objects at once", "Nothing was taken.")]
    total = _total_of_small(git, names, count, limits)
    if total is None:
        total = 0
        for found in sizes(git, names.decode("ascii").split()):
            total += found.size
            if fault := _too_large(found, arrival, limits):
                return [fault]
    if total > limits.total:
        told = f"{total // 1_000_000} MB unpacked"
        return [Fault("", told, f"At most {limits.total // 1_000_000}; nothing was taken.")]
    return []


def _total_of_small(git: Git, names: bytes, count: int, limits: Limits) -> int | None:
    """Return the bytes of not too many objects, where every one is so small that none need be looked at by itself."""
    if count > _MANY:
        return None
    words = git.run("cat-file", "--batch-check=%(objectsize) %(objecttype)", "--buffer", given=names).split()
    if len(words) != 2 * count or not {b"commit", b"tree", b"blob"}.issuperset(words[1::2]):
        return None
    found = list(map(int, words[::2]))
    return sum(found) if max(found, default=0) <= min(limits.document, limits.commit, limits.tree) else None


def _too_large(found: Found, arrival: Arrival, limits: Limits) -> Fault | None:
    """Note what is too large; return the fault that refuses all that arrived."""
    if found.kind == "blob" and found.size > limits.document:
        arrival.large[found.id] = found.size
    elif found.kind == "commit" and found.size > limits.commit:
        told = f"a commit of {found.size} bytes"
        arrival.faults[found.id] = Fault(found.id[:12], told, f"At most {limits.commit}.")
    elif found.kind == "tree" and found.size > limits.tree:
        return Fault(found.id[:12], f"a tree of {found.size} bytes", f"At most {limits.tree}; nothing was taken.")
    elif found.kind == "tag":
        return Fault(found.id[:12], "a tag object", "A library has none; nothing was taken.")
    return None
