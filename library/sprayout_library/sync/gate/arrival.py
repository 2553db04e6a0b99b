"""What arrived, counted and weighed before any of it is read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from sprayout_core.errors import Fault
from sprayout_library.store import DamagedError, Git, GitError
from sprayout_library.store.commits import Commit, read_commit
from sprayout_library.store.reader import bulk, sizes
from sprayout_library.sync.gate.limits import Limits

__all__ = ["Arrival", "arrived"]


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
