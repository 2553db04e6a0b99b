"""Today: two answers waiting, pieces on the stand, cups on the bench, pieces sprayed lately, what to do next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.compare import Sprayed
from sprayout_core.documents import Formula
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.answers import open_answers
from sprayout_library.record.between import manifest_of
from sprayout_library.record.cups import Shelf

if TYPE_CHECKING:
    from sprayout_library.session import Session

__all__ = ["CupShown", "cups_of", "running", "today"]

_FEW = 8


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
    manifest = manifest_of(visit.store)
    pieces = sorted(visit.pieces.values(), key=lambda one: one.sprayed_at, reverse=True)
    names = visit.names
    shown = {
        "title": manifest.name if manifest else visit.store.folder.name,
        "questions": open_answers(visit.store, names),
        "sessions": running(visit),
        "cups": cups_of(visit)[:_FEW],
        "pieces": pieces[:_FEW],
        "unread": [one for one in pieces if not visit.evidence.readings.get(one.id)][:_FEW],
        "not_sprayed": _not_sprayed(visit),
        "mixes": sum(1 for _ in names.of_kind("formula")),
        "recipes": sum(1 for _ in names.of_kind("recipe")),
        "waiting": _waiting(visit),
    }
    return Reply("today.html", shown)


def running(visit: Visit) -> list[Session]:
    """Return the sessions of this library that run on this machine."""
    from sprayout_library.session import open_sessions

    manifest = manifest_of(visit.store)
    if manifest is None:
        return []
    return list(open_sessions(manifest.id))


def cups_of(visit: Visit) -> list[CupShown]:
    """Return the cups that are not empty, newest first; one whose amounts cannot be is told as such."""
    from sprayout_core.mix.bounds import told

    shelf = Shelf(visit.store)
    found = []
    for key, batch in sorted(shelf.batches.items(), key=lambda pair: pair[1].poured_at or "", reverse=True):
        try:
            left, whole = shelf.left(key), shelf.poured(key)
            if not left:
                continue
            words, share = f"{told(left, 2)} {shelf.unit(key)} left", float(left / whole) if whole else 1.0
        except SprayoutError as error:
            words, share = error.fault.problem, 1.0
        label, hardener = batch.label or f"…{key[-6:]}", "hardener in" if batch.catalysed == "yes" else ""
        mix, full = visit.names.label(batch.formula), min(max(share, 0.0), 1.0)
        found.append(CupShown(key, label, batch.formula, mix, words, full, hardener, batch.spray_ready or ""))
    return found


def _not_sprayed(visit: Visit) -> list[tuple[str, str, str]]:
    found: list[tuple[str, str, str]] = []
    for entry in visit.names.of_kind("formula"):
        if entry.withdrawn or len(found) >= _FEW:
            continue
        formula = visit.store.get(entry.id)
        if isinstance(formula, Formula) and not formula.slots:
            state = visit.evidence.status(formula, visit.store).state
            if state in (Sprayed.CHANGED, Sprayed.NEVER):
                found.append((formula.id, formula.name, state.value))
    return found


def _waiting(visit: Visit) -> int:
    """Return how many readings wait in this machine's inbox for their panel."""
    from sprayout_library.inbox import Inbox

    return len(Inbox(visit.store, lambda: visit.now).rows)
