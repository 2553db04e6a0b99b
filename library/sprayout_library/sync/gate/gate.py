"""The gate: every head that arrives passes whole or is refused by name, before anything else reads it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from sprayout_core.errors import Fault, SprayoutError
from sprayout_library.store import FOLD_RULES, Commit, DamagedError, Git, read_commit
from sprayout_library.store.layout import KINDS, path_of, place_of
from sprayout_library.store.objects import EMPTY_TREE, Pile
from sprayout_library.store.reader import ObjectReader, contents
from sprayout_library.store.trees import trees_of
from sprayout_library.store.writing import copy_mail
from sprayout_library.sync.apart import decoded
from sprayout_library.sync.folding import FOLDER, fold
from sprayout_library.sync.gate.arrival import Arrival, arrived
from sprayout_library.sync.gate.limits import LIMITS, Limits
from sprayout_library.sync.gate.papers import passes_quickly, said, seen_fault
from sprayout_library.sync.gate.walking import Change, OutOfPlace, Walk, shown

__all__ = ["Verdict", "judged"]


@dataclass(slots=True)
class Verdict:
    """What the gate found.

    accepted   heads that may come in, by the name they were given under
    refused    the heads that may not, and why; each fault begins with that name
    commits    every new commit that passed, parents first
    other_rules  versions of the joining rules, other than ours, that new commits were made under
    """

    accepted: dict[str, str] = field(default_factory=dict)
    refused: dict[str, Fault] = field(default_factory=dict)
    commits: list[Commit] = field(default_factory=list)
    other_rules: set[int] = field(default_factory=set)


def judged(
    git: Git,
    heads: Mapping[str, str],
    known: Iterable[str],
    *,
    ours: str | None = None,
    limits: Limits = LIMITS,
    step: Callable[[int, int], None] | None = None,
) -> Verdict:
    """Return what may come in.

    git    a repository that sees both what arrived and what is known
    heads  commit by name: a copy id, or anything that names the head to a reader
    known  commits whose whole history was let in before
    ours   this library's own head, for what only the two together would break
    step   called with (commits looked at, commits in all)
    """
    verdict = Verdict()
    reader = ObjectReader(git)
    try:
        arrival, whole = arrived(git, reader, heads.values(), known, limits)
        if whole:
            verdict.refused = {name: _named(name, whole[0]) for name in heads}
            return verdict
        _Inspection(git, reader, arrival, limits, ours, step).run()
    finally:
        reader.close()
    for name, head in sorted(heads.items()):
        if fault := arrival.faults.get(head):
            verdict.refused[name] = _named(name, fault)
        else:
            verdict.accepted[name] = head
    fit = _reached(verdict.accepted.values(), arrival.parents)
    verdict.commits = [arrival.commits[name] for name in arrival.order if name in fit]
    verdict.other_rules = {commit.rules for commit in verdict.commits} - {FOLD_RULES}
    return verdict


def _named(name: str, fault: Fault) -> Fault:
    place = f"from {name}: {fault.place}" if fault.place else f"from {name}"
    return Fault(place, fault.problem, fault.remedy)


def _reached(heads: Iterable[str], parents: Mapping[str, Sequence[str]]) -> set[str]:
    seen: set[str] = set()
    waiting = [head for head in heads if head in parents]
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting.extend(parent for parent in parents[name] if parent in parents)
    return seen


@dataclass(slots=True)
class _Inspection:
    """One look at everything that arrived: commits alone, then the documents edits bring, then folds made again."""

    git: Git
    reader: ObjectReader
    arrival: Arrival
    limits: Limits
    ours: str | None
    step: Callable[[int, int], None] | None

    def run(self) -> None:
        for commit in self.arrival.commits.values():
            if fault := _commit_fault(commit):
                self.arrival.faults.setdefault(commit.id, fault)
        self._pass_on()
        self._documents()
        self._pass_on()
        self._folds()
        self._pass_on()

    def _pass_on(self) -> None:
        """A commit on top of a refused one is refused for the same reason."""
        for name in self.arrival.order:
            for parent in self.arrival.parents[name]:
                if name not in self.arrival.faults and (fault := self.arrival.faults.get(parent)):
                    self.arrival.faults[name] = fault

    def _fit(self) -> Iterator[Commit]:
        for name in self.arrival.order:
            if name not in self.arrival.faults:
                yield self.arrival.commits[name]

    def _documents(self) -> None:
        """Check every document that an edit or a packet brings; contents are read in one stream."""
        sound = list(self._sound())
        wanted = [name for _, changes in sound for change in changes for name in (change.old, change.new) if name]
        read = contents(self.git, wanted, self.limits.document)
        for count, (commit, changes) in enumerate(sound):
            self._passed_on(commit)
            for change in changes:
                old = next(read) if change.old else None
                new = next(read)
                if commit.id not in self.arrival.faults and (fault := self._document_fault(commit, change, old, new)):
                    self.arrival.faults[commit.id] = fault
            if self.step is not None and count % 20 == 0:
                self.step(count, len(sound))
        self._other_kinds(sound)

    def _sound(self) -> Iterator[tuple[Commit, list[Change]]]:
        """Yield what each edit changed, where its paths, modes and sizes are in order."""
        walk = Walk(trees_of(self.git, self.reader))
        trees = {commit.id: commit.tree for commit in self.arrival.commits.values()}
        for commit in list(self._fit()):
            if not _is_plain(commit) or self._passed_on(commit):
                continue
            parent = EMPTY_TREE
            if commit.parents:
                first = commit.parents[0]
                parent = trees.get(first) or self._tree_of(first)
            try:
                changes = walk.changes(commit.tree, parent)
            except OutOfPlace as error:
                self.arrival.faults[commit.id] = error.fault
                continue
            large = [change for change in changes if change.new in self.arrival.large]
            if large:
                told = f"is {self.arrival.large[large[0].new]} bytes large"
                self.arrival.faults[commit.id] = Fault(shown(large[0].path), told, f"At most {self.limits.document}.")
                continue
            yield commit, changes

    def _tree_of(self, name: str) -> str:
        content = self.reader.content(name)
        if content is None:
            raise DamagedError(f"commit {name[:12]} is missing", "Run a check of the library.")
        return read_commit(name, content).tree

    def _passed_on(self, commit: Commit) -> bool:
        """Say whether a parent is refused, and refuse the commit with it."""
        for parent in commit.parents:
            if fault := self.arrival.faults.get(parent):
                self.arrival.faults.setdefault(commit.id, fault)
                return True
        return False

    def _document_fault(self, commit: Commit, change: Change, old: bytes | None, new: bytes) -> Fault | None:
        if passes_quickly(commit, change.path, old, new):
            return None
        before = decoded(old) if old is not None else None
        try:
            value = said(new, change.path, before)
        except SprayoutError as error:
            inner = error.faults[0]
            place = f"{change.path}: {inner.place}" if inner.place else change.path
            return Fault(place, inner.problem, inner.remedy)
        problem = seen_fault(commit, before, value) if commit.rules == FOLD_RULES else ""
        return Fault(change.path, problem, "The edit record was changed by hand.") if problem else None

    def _other_kinds(self, sound: Sequence[tuple[Commit, list[Change]]]) -> None:
        """Refuse a new document whose id stands under another kind already."""
        for commit, changes in sound:
            added = [place for change in changes if not change.old and (place := place_of(change.path))]
            kinds: dict[str, str] = {}
            names: list[str] = []
            for kind, name in added:
                if kinds.setdefault(name, kind) != kind:
                    self.arrival.faults.setdefault(commit.id, _two_kinds(name))
                places = [path_of(other, name) for other in KINDS if other != kind]
                for stands in (*commit.parents[:1], *((self.ours,) if self.ours else ())):
                    names += [f"{stands}:{place}" for place in places]
            for asked, found in zip(names, self.reader.infos(names), strict=True):
                if found is not None:
                    self.arrival.faults.setdefault(
                        commit.id, _two_kinds(asked.rpartition("/")[2].removesuffix(".json"))
                    )

    def _folds(self) -> None:
        """Make every fold again: it is nothing but what its parents make it."""
        for commit in self._fit():
            if commit.what != "fold" or commit.rules != FOLD_RULES:
                continue
            if any(parent in self.arrival.faults for parent in commit.parents):
                continue  # passed on afterwards
            problem = self._fold_problem(commit)
            if problem:
                self.arrival.faults[commit.id] = Fault(
                    f"fold {commit.id[:12]}", problem, "It was not made by these rules."
                )

    def _fold_problem(self, commit: Commit) -> str:
        if list(commit.parents) != sorted(set(commit.parents)):
            return "its parents are not in order"
        with Pile() as pile:
            try:
                again = fold(self.git, trees_of(self.git, self.reader), commit.parents, pile)
            except SprayoutError as error:
                return f"cannot be made again: {error.fault.problem}"
        return "" if again == commit.id else "making it again gives another result"


def _two_kinds(name: str) -> Fault:
    return Fault(name, "is the id of a document of another kind", "An id names one document.")


def _is_plain(commit: Commit) -> bool:
    return commit.what in {"edit", "packet"} or commit.rules != FOLD_RULES


def _commit_fault(commit: Commit) -> Fault | None:
    """Return what is wrong with a commit by itself."""
    place = commit.id[:12]
    if not commit.what:
        return Fault(place, "is a commit that no library made", "Its last line must say edit, packet or fold.")
    if commit.what == "fold":
        if len(commit.parents) < 2:
            return Fault(place, "is a fold of fewer than two heads", "It was made by another program.")
        if commit.signature or (commit.author.name, commit.author.email) != FOLDER or commit.author != commit.committer:
            return Fault(place, "is a fold that somebody signed or put a name to", "Folds are made by nobody.")
        return None
    if len(commit.parents) > 1:
        return Fault(place, f"is an {commit.what} with {len(commit.parents)} parents", "An edit has one.")
    if commit.what == "packet" and not commit.sha256:
        return Fault(place, "takes in a packet without naming it", "Its last line must name the packet's sha256.")
    if commit.committer.email != copy_mail(commit.copy) or commit.author.email != copy_mail(commit.copy):
        return Fault(place, f"says it is of {commit.copy} but names another copy", "Both must agree.")
    return None
