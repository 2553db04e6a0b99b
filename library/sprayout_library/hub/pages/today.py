"""Today: two answers waiting, pieces on the stand, cups on the bench, pieces sprayed lately, what to do next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.compare import Sprayed
from sprayout_core.documents import Formula
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.begin import lights
from sprayout_library.hub.pages.rack import Newest, newest_first
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.index.rows import text_of
from sprayout_library.record.answers import open_answers
from sprayout_library.record.cups import Shelf

if TYPE_CHECKING:
    from sprayout_library.index import Index
    from sprayout_library.session import Session

__all__ = ["CupShown", "cups_of", "running", "today"]

_FEW = 8
_MANY = 200


@dataclass(frozen=True, slots=True)
class CupShown:
    """A cup: its code, its mix, what is left in words and as a share of what was poured, what to know of it."""

    id: str
    label: str
    formula: str
    mix: str
    left: str
    share: float
    hardener: str
    spray_ready: str


def today(visit: Visit) -> Reply:
    """Show the bench."""
    shown = visit.once("today", lambda: _bench(visit))
    return Reply("today.html", {**shown, "sessions": running(visit), "waiting": _waiting(visit)})


def _bench(visit: Visit) -> dict[str, Any]:
    """Return what rests on the library alone; what runs and waits on this machine does not."""
    manifest = visit.seen.manifest(visit.store)
    hung = visit.seen.in_order(visit.store, "new", newest_first, Newest)
    names = visit.names
    return {
        "title": manifest.name if manifest else visit.store.folder.name,
        "begun": manifest is not None,
        "lights": lights() if manifest is None else (),
        "questions": open_answers(visit.store, names),
        "cups": cups_of(visit)[:_FEW],
        "pieces": list(visit.pieces([one.id for one in hung[:_FEW]]).values()),
        "unread": _unread(visit),
        "not_sprayed": _not_sprayed(visit),
        "mixes": sum(1 for _ in names.of_kind("formula")),
        "recipes": sum(1 for _ in names.of_kind("recipe")),
    }


def running(visit: Visit) -> list[Session]:
    """Return the sessions of this library that run on this machine."""
    from sprayout_library.session import open_sessions

    return list(open_sessions(*(one.id for one in visit.seen.manifests(visit.store))))


def cups_of(visit: Visit) -> list[CupShown]:
    """Return the cups that are not empty, newest first; one whose amounts cannot be is told as such."""
    if next(visit.names.of_kind("batch"), None) is None:
        return []
    shelf = Shelf(visit.store)
    found = []
    for key, batch in sorted(shelf.batches.items(), key=lambda pair: pair[1].poured_at or "", reverse=True):
        try:
            left, whole = shelf.left(key), shelf.poured(key)
            if not left:
                continue
            words, share = f"{visit.amount(left, shelf.unit(key))} left", float(left / whole) if whole else 1.0
        except SprayoutError as error:
            words, share = error.fault.problem, 1.0
        label, hardener = batch.label or f"…{key[-6:]}", "hardener in" if batch.catalysed == "yes" else ""
        mix, full = visit.names.label(batch.formula), min(max(share, 0.0), 1.0)
        found.append(CupShown(key, label, batch.formula, mix, words, full, hardener, batch.spray_ready or ""))
    return found


def _not_sprayed(visit: Visit) -> list[tuple[str, str, str]]:
    """Return a few mixes that nobody sprayed as they stand, what was changed first."""
    query = f"SELECT id, title, status FROM doc WHERE kind = 'formula' AND withdrawn = 0 AND status = ? LIMIT {_MANY}"

    def asked(index: Index) -> list[tuple[str, str, str]]:
        return [
            (text_of(raw), title, said.value)
            for word, said in (("changed", Sprayed.CHANGED), ("never", Sprayed.NEVER))
            for raw, title, _ in index.rows(query, (word,))
        ]

    found = []
    for identity, _, state in visit.asking(asked)[: 2 * _FEW]:
        formula = visit.store.get(identity)
        if isinstance(formula, Formula) and not formula.slots:
            found.append((identity, formula.name, state))
    return found[:_FEW]


def _unread(visit: Visit) -> int:
    """Return how many pieces have no reading."""
    query = "SELECT id FROM doc WHERE kind = 'panel' AND withdrawn = 0 AND readings = 0"
    return visit.asking(lambda index: sum(1 for _ in index.rows(query)))


def _waiting(visit: Visit) -> int:
    """Return how many readings wait in this machine's inbox for their panel."""
    from sprayout_library.inbox import Inbox

    return len(Inbox(visit.store, lambda: visit.now).rows)
