"""Sync from a page of one machine: what would leave is asked about first where it is more than usual, or private."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import Fault, SprayoutError
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit
from sprayout_library.record import Names
from sprayout_library.record.names import kind_said

if TYPE_CHECKING:
    from sprayout_library.sync import Leaving, Remote, SyncReport

__all__ = ["Asked", "Synced", "sync"]

#: What came in or would leave, named one by one.
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Asked:
    """What would leave for a place, and why a person should say so first."""

    place: str
    count: int
    why: str
    names: tuple[str, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Synced:
    """What one sync did: how much was sent, what came in (id, name, sort), what is asked, what went wrong."""

    place: str
    sent: int = 0
    received: int = 0
    named: tuple[tuple[str, str, str], ...] = ()
    questions: tuple[tuple[str, str], ...] = ()
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()


def sync(visit: Visit) -> Reply:
    """Send what is new here and take in what is new there, through every place this library is shared through."""
    from sprayout_library.record.shops import announce_copy
    from sprayout_library.sync import leaving, remotes

    if visit.shelf is None:
        raise NotThere("this is the hub itself", "Shops sync with it from their own machines.")
    writer, store = visit.writer(), visit.store
    known = remotes(store)
    if not known:
        raise SprayoutError(
            "this library is not shared yet", "Whoever keeps it shares it once, through a folder or a hub."
        )
    asked, done = [], []
    sure = visit.asked.said("sure") == "yes"
    for name, remote in known.items():
        try:
            found = leaving(store, remote)
            if found.asks and not sure:
                asked.append(_asked(visit, name, found))
                continue
            done.append(_one(visit, name, remote))
        except SprayoutError as error:
            done.append(Synced(name, faults=tuple(error.faults)))
    if any(not one.faults for one in done):
        announce_copy(writer)  # as after a restored backup; it goes out with the next sync
    shown: dict[str, Any] = {"asked": asked, "done": done, "whole": not asked and not any(one.faults for one in done)}
    return Reply("synced.html", shown)


def _asked(visit: Visit, place: str, found: Leaving) -> Asked:
    label = visit.names.label
    if found.private:
        why = "and this library is marked private"
    elif found.marked:
        told = ", ".join(label(one) for one in found.marked[:3])
        why = f"and {told} {'is' if len(found.marked) == 1 else 'are'} marked private"
    else:
        why = "which is more than usual"
    names = tuple(label(one) for one in found.documents[:_SHOWN])
    return Asked(place, len(found.documents), why, names, max(len(found.documents) - _SHOWN, 0))


def _one(visit: Visit, place: str, remote: Remote) -> Synced:
    from sprayout_library.sync import sync as exchange

    report: SyncReport = exchange(visit.store, remote, visit.now)
    names = Names(visit.store)
    named = []
    for identity in report.received[:_SHOWN]:
        entry = names.entries.get(identity)
        named.append((identity, names.label(identity), kind_said(entry.kind) if entry else ""))
    questions = dict.fromkeys((one.id, one.title or names.label(one.id)) for one in report.questions)
    return Synced(
        place, len(report.sent), len(report.received), tuple(named), tuple(questions), tuple(report.refused),
        tuple(report.notes),
    )  # fmt: skip
