"""One sync: look at our own branch first, fetch, let the gate judge, fold, and send our own branch."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from sprayout_core.errors import Fault
from sprayout_library.machine import LockedError, held
from sprayout_library.store import FOLD_RULES, BusyError, Store
from sprayout_library.store.layout import shop_ref
from sprayout_library.store.objects import Pile
from sprayout_library.store.refs import MAIN, all_refs, move
from sprayout_library.store.store import told_plainly
from sprayout_library.store.writing import tree_reader
from sprayout_library.sync.copied import is_ancestor, rebuilt, standing
from sprayout_library.sync.folding import FoldError, fold, independent
from sprayout_library.sync.gate import Verdict, judged
from sprayout_library.sync.outcome import came_in, documents_apart
from sprayout_library.sync.quarantine import Quarantine, quarantine
from sprayout_library.sync.remote import Remote, heads_of, push
from sprayout_library.sync.report import SyncReport

__all__ = ["sync", "take_in"]

Step = Callable[[str, int, int], None]
"""Called with (what is being done, how much of it is done, how much there is)."""


def quietly(what: str, done: int, whole: int) -> None:
    """Report no progress."""


def sync(store: Store, remote: Remote, now: datetime, step: Step = quietly) -> SyncReport:
    """Exchange everything with a remote and return what happened.

    store   moved on to the newest state at the end
    now     the time, for an edit that a copied library may need
    step    hears about progress

    Interrupted anywhere, the library is as before or as after, and the next sync goes on. Raises SyncError
    (RemoteError, UnreachableError), BusyError, FullDiskError or ReadOnlyError; heads that do not follow the rules
    are refused by name in the report, and all others come in.
    """
    with told_plainly(store.folder), _alone(store):
        return _Sync(store, remote, now, step).run()


class _alone:  # noqa: N801 - reads as the word it is
    """Hold the lock that lets one sync run at a time."""

    def __init__(self, store: Store) -> None:
        self._lock = held(store.folder / "sprayout.sync.lock", seconds=600)

    def __enter__(self) -> None:
        try:
            self._lock.__enter__()
        except LockedError:
            raise BusyError("another sync is running", "Wait for it to finish and try again.") from None

    def __exit__(self, *what: object) -> None:
        self._lock.__exit__(None, None, None)


def seen_ref(remote: Remote, copy: str) -> str:
    """Return the reference that remembers the last head a remote had of a copy."""
    return f"refs/sprayout/seen/{remote.name}/{copy}"


@dataclass(slots=True)
class _Sync:
    """One sync under way."""

    store: Store
    remote: Remote
    now: datetime
    step: Step
    report: SyncReport = field(default_factory=SyncReport)

    def run(self) -> SyncReport:
        store, report = self.store, self.report
        own = store.copy_id
        self.step("looking", 0, 1)
        heads = heads_of(store.git, self.remote)
        report.shops = dict(heads)
        before = store.newest()
        known = self._known()
        fresh = {copy: head for copy, head in heads.items() if head not in known.values()}
        self._note_missing(heads)
        if fresh:
            self._fetch(fresh, known, own)
        elif heads:
            take_in(store, heads, self.now, report)
        store.refresh()
        report.head = store.head
        came_in(store, before, report)
        self._send(heads)
        self._remember()
        return report

    def _known(self) -> dict[str, str]:
        """Return commits whose whole history was let in before, by reference."""
        refs = all_refs(self.store.git)
        return {
            name: commit
            for name, commit in refs.items()
            if name.startswith(("refs/heads/", "refs/sprayout/seen/"))
        }

    def _note_missing(self, heads: Mapping[str, str]) -> None:
        seen = all_refs(self.store.git, f"refs/sprayout/seen/{self.remote.name}/")
        for name in seen:
            copy = name.rpartition("/")[2]
            if copy not in heads:
                self.report.notes.append(
                    f"the branch of {copy} is gone from {self.remote.name}; everything of it is kept here"
                )

    def _fetch(self, fresh: Mapping[str, str], known: Mapping[str, str], own: str) -> None:
        with quarantine(self.store, known) as arrived:
            self.step("fetching", 0, len(fresh))
            fetched = arrived.fetch(self.remote, sorted(fresh))
            accepted = self._without_rewinds(arrived, fetched)
            verdict = judged(
                arrived.git,
                accepted,
                known.values(),
                ours=self.store.newest(),
                step=lambda done, whole: self.step("checking", done, whole),
            )
            self.report.refused += verdict.refused.values()
            if verdict.accepted:
                arrived.release(verdict.accepted.values())
        self._say_rules(verdict)
        others = {copy: head for copy, head in self.report.shops.items() if copy not in fetched}
        self.report.shops |= fetched
        take_in(self.store, others | verdict.accepted, self.now, self.report, verdict)

    def _without_rewinds(self, arrived: Quarantine, fetched: Mapping[str, str]) -> dict[str, str]:
        """Return the heads that go forward from what this remote had before; the others are refused by name."""
        seen = all_refs(self.store.git, f"refs/sprayout/seen/{self.remote.name}/")
        kept: dict[str, str] = {}
        for copy, head in fetched.items():
            before = seen.get(seen_ref(self.remote, copy))
            if before is None or is_ancestor(arrived.git, before, head):
                kept[copy] = head
            else:
                self.report.refused.append(
                    Fault(
                        f"from {copy}",
                        "was rewound: it does not contain what it held before",
                        "Nothing was taken of it.",
                    )
                )
        return kept

    def _say_rules(self, verdict: Verdict) -> None:
        if verdict.other_rules:
            rules = ", ".join(str(number) for number in sorted(verdict.other_rules))
            self.report.notes.append(
                f"another copy joins by rules {rules}, this one by rules {FOLD_RULES}: no fold is made here until all agree"
            )

    def _send(self, heads: Mapping[str, str]) -> None:
        store, report = self.store, self.report
        own, head = shop_ref(store.copy_id), store.head
        there = heads.get(store.copy_id)
        if head is None:
            report.at_remote = True
            return
        report.sent = _missing_there(store, heads, head)
        if there == head:
            report.at_remote, report.sent = True, []
            return
        self.step("sending", 0, len(report.sent))
        results = push(
            store.git,
            self.remote,
            {own: head, MAIN: head},
            watch=lambda: self.step("sending", 0, len(report.sent)),
        )
        report.at_remote = not results[own]
        if results[own]:
            report.sent = []
            report.notes.append(
                f"our branch was not taken by {self.remote.name}: {results[own]}; it goes out next time"
            )
        else:
            report.shops[store.copy_id] = head

    def _remember(self) -> None:
        """Remember which heads this remote has by now; being stopped before this only means looking again."""
        refused = {fault.place.removeprefix("from ").partition(":")[0] for fault in self.report.refused}
        seen = all_refs(self.store.git, f"refs/sprayout/seen/{self.remote.name}/")
        moves = {
            seen_ref(self.remote, copy): (seen.get(seen_ref(self.remote, copy)), head)
            for copy, head in self.report.shops.items()
            if copy not in refused
        }
        with self.store.writing():
            move(self.store.git, moves, "seen at a remote")


def _missing_there(store: Store, heads: Mapping[str, str], head: str) -> list[str]:
    """Return the ids of documents whose state here no branch at the remote holds, counted from the nearest one."""
    known = independent(store.git, [name for name in heads.values() if store.reader.info(name) is not None])
    counts = [documents_apart(store, name, head) for name in known[:8]]
    return min(counts, key=len) if counts else documents_apart(store, None, head)


def take_in(
    store: Store, heads: Mapping[str, str], now: datetime, report: SyncReport, verdict: Verdict | None = None
) -> None:
    """Fold heads that passed the gate and whose objects are in the library, and move our branch there.

    heads   commit by copy id
    """
    with store.writing():
        _guard_own(store, heads, now, report, verdict)
        here = store.newest()
        waiting = [head for head in heads.values() if store.reader.info(head) is not None]
        if here is None and not waiting:
            return
        if verdict is not None and verdict.other_rules:
            target = _forward_only(store, here, waiting)
        else:
            target = _folded(store, here, heads, waiting, report)
        if target is not None and target != here:
            _advance(store, target)


def _guard_own(
    store: Store, heads: Mapping[str, str], now: datetime, report: SyncReport, verdict: Verdict | None
) -> None:
    """Look for edits made under our copy id elsewhere: behind them, go forward; beside them, draw a new id."""
    own, here = store.copy_id, store.newest()
    foreign = [heads[own]] if own in heads else []
    foreign += [commit.id for commit in (verdict.commits if verdict else ()) if commit.copy == own]
    for there in independent(store.git, [name for name in foreign if store.reader.info(name)]):
        found = standing(store.git, here, there)
        if found.word == "beside":
            here = rebuilt(store, there, now)
            report.notes.append(
                f"this library is a copy: another one uses its copy id {own}. It goes on as {store.copy_id}; nothing was lost"
            )
            return
        if found.word == "behind" and here is not None:
            report.notes.append(
                "this library was restored from an older state; it went forward to what it had sent before"
            )


def _forward_only(store: Store, here: str | None, waiting: list[str]) -> str | None:
    """Return the one head that contains ours, where there is one: a copy with other rules makes no folds."""
    heads = independent(store.git, [*waiting, *([here] if here else [])])
    return heads[0] if len(heads) == 1 else here


def _folded(
    store: Store, here: str | None, heads: Mapping[str, str], waiting: list[str], report: SyncReport
) -> str:
    names = {head: copy for copy, head in heads.items()}
    left = [*waiting, *([here] if here else [])]
    while True:
        with Pile() as pile:
            try:
                target = fold(store.git, tree_reader(store), left, pile)
            except FoldError as error:
                left, culprit = _without(left, error.head, here)
                fault = error.fault
                place = f"from {names.get(culprit, culprit[:12])}: {fault.place}"
                report.refused.append(Fault(place, fault.problem, fault.remedy))
                continue
            pile.write(store.git)
            if len(pile):
                report.folded = target
            return target


def _without(heads: list[str], culprit: str, here: str | None) -> tuple[list[str], str]:
    """Leave out the head that did not fit; never our own, then all the others are left out one by one."""
    if culprit == here:
        culprit = next(head for head in heads if head != here)
    return [head for head in heads if head != culprit], culprit


def _advance(store: Store, target: str) -> None:
    refs = all_refs(store.git, "refs/heads/")
    own = shop_ref(store.copy_id)
    move(store.git, {own: (refs.get(own), target), MAIN: (refs.get(MAIN), target)}, "sync")
