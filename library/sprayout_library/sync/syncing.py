"""One sync with a remote: look at its branches, receive what is new, and send our own branch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from sprayout_library.machine import LockedError, held
from sprayout_library.store import BusyError, Store
from sprayout_library.store.layout import shop_ref
from sprayout_library.store.refs import MAIN, all_refs, move
from sprayout_library.store.store import told_plainly
from sprayout_library.sync.outcome import came_in, missing_there
from sprayout_library.sync.quarantine import Quarantine
from sprayout_library.sync.receiving import Step, known_commits, quietly, receive, seen_ref, take_in
from sprayout_library.sync.remote import Remote, clear_own_lock, heads_of, push
from sprayout_library.sync.report import SyncReport
from sprayout_library.sync.strangers import Admit, everybody

__all__ = ["alone", "remember", "sync"]


def sync(store: Store, remote: Remote, now: datetime, step: Step = quietly, admit: Admit = everybody) -> SyncReport:
    """Exchange everything with a remote and return what happened.

    store   moved on to the newest state at the end
    now     the time, for an edit that a copied library may need
    step    hears about progress
    admit   is asked before a library that began apart from this one becomes one with it

    Interrupted anywhere, the library is as before or as after, and the next sync goes on. Raises SyncError
    (RemoteError, UnreachableError), BusyError, FullDiskError or ReadOnlyError; heads that do not follow the rules
    are refused by name in the report, and all others come in.
    """
    with told_plainly(store.folder), alone(store):
        return _Sync(store, remote, now, step, admit).run()


class alone:  # noqa: N801 - reads as the word it is
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


@dataclass(slots=True)
class _Sync:
    """One sync under way."""

    store: Store
    remote: Remote
    now: datetime
    step: Step
    admit: Admit
    report: SyncReport = field(default_factory=SyncReport)

    def run(self) -> SyncReport:
        store, report = self.store, self.report
        store.copy_id  # noqa: B018 - drawn before anything is looked at
        self.step("looking", 0, 1)
        heads = heads_of(store.git, self.remote)
        report.shops = dict(heads)
        before = store.newest()
        known = set(known_commits(store).values())
        fresh = sorted(copy for copy, head in heads.items() if head not in known)
        self._note_missing(heads)
        if fresh:
            receive(
                store,
                self.remote.name,
                lambda arrived: self._fetched(arrived, fresh),
                self.now,
                report,
                self.step,
                self.admit,
            )
        elif heads:
            take_in(store, heads, self.now, report)
        store.refresh()
        report.head = store.head
        came_in(store, before, report)
        self._send(heads)
        remember(store, self.remote.name, report)
        return report

    def _fetched(self, arrived: Quarantine, copies: list[str]) -> dict[str, str]:
        self.step("fetching", 0, len(copies))
        return arrived.fetch(self.remote, copies)

    def _note_missing(self, heads: Mapping[str, str]) -> None:
        for name in all_refs(self.store.git, f"refs/sprayout/seen/{self.remote.name}/"):
            copy = name.rpartition("/")[2]
            if copy not in heads:
                told = f"what {copy} saved is gone from {self.remote.name}; everything of it is kept here"
                self.report.notes.append(told)

    def _send(self, heads: Mapping[str, str]) -> None:
        store, report = self.store, self.report
        own, head = shop_ref(store.copy_id), store.head
        there = heads.get(store.copy_id)
        if head is None:
            report.at_remote = True
            return
        report.sent = [name for _, name in missing_there(store, heads, head)]
        if there == head:
            report.at_remote, report.sent = True, []
            return
        self.step("sending", 0, len(report.sent))
        clear_own_lock(self.remote, own)
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
                f"what was saved here was not taken by {self.remote.name}: {results[own]}; it goes out next time"
            )
        else:
            report.shops[store.copy_id] = head


def remember(store: Store, source: str, report: SyncReport) -> None:
    """Remember which heads a source has by now; being stopped before this only means looking again."""
    refused = {fault.place.removeprefix("from ").partition(":")[0] for fault in report.refused}
    seen = all_refs(store.git, f"refs/sprayout/seen/{source}/")
    moves = {
        seen_ref(source, copy): (seen.get(seen_ref(source, copy)), head)
        for copy, head in report.shops.items()
        if copy not in refused
    }
    with store.writing():
        move(store.git, moves, "seen at a remote")
