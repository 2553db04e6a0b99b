"""What is on the bench: cups, pieces drying and sprayed lately, mixes not sprayed as they stand, panels unread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

from sprayout_core.compare import Sprayed
from sprayout_core.documents.which import is_formula
from sprayout_core.errors import SprayoutError
from sprayout_library.machine.spray_days import running_spray_days
from sprayout_library.record import Names, evidence_for
from sprayout_library.record.measured import in_force
from sprayout_library.store import Store, manifests

__all__ = ["Bench", "bench"]

_FEW = 6


@dataclass(slots=True)
class Bench:
    """Rows for the first screen; each list holds the few newest."""

    title: str
    drying: list[tuple[str, ...]] = field(default_factory=list)
    cups: list[tuple[str, ...]] = field(default_factory=list)
    pieces: list[tuple[str, ...]] = field(default_factory=list)
    not_sprayed: list[tuple[str, ...]] = field(default_factory=list)
    without_reading: list[tuple[str, ...]] = field(default_factory=list)
    next_steps: list[tuple[str, ...]] = field(default_factory=list)


def bench(store: Store, names: Names) -> Bench:
    """Return what is on the bench of this library."""
    begun = manifests(store)
    found = Bench(begun[0].name if begun else store.folder.name)
    evidence = evidence_for(store, "panel", "reading")
    panels = list(evidence.panels.values())
    panels.sort(key=lambda one: one.sprayed_at or one.provenance.at, reverse=True)
    for panel in panels[:_FEW]:
        over = f"over {names.label(panel.ground.id)}" if panel.ground else ""
        recipe = names.label(panel.recipe) if panel.recipe else ""
        found.pieces.append((panel.name, recipe, over, panel.stage.surface if panel.stage else ""))
    unread = [panel for panel in panels if not in_force(evidence.readings.get(panel.id, []))]
    found.without_reading.extend((panel.name,) for panel in unread[:_FEW])
    for entry in names.of_kind("formula"):
        if entry.withdrawn or len(found.not_sprayed) >= _FEW:
            continue
        formula = store.get(entry.id)
        if is_formula(formula) and not formula.slots:
            state = evidence.status(formula, store).state
            if state in (Sprayed.CHANGED, Sprayed.NEVER):
                found.not_sprayed.append((formula.name, state.value))
    found.cups.extend(_cups(store, names))
    found.drying.extend(_drying([one.id for one in begun], datetime.now(UTC)))
    found.next_steps = _next(names, found)
    found.next_steps[:0] = [
        (f"two libraries are one; {begun[0].name} counts", f"sprayout withdraw …{other.id[-6:]}")
        for other in begun[1:]
        if other.withdrawn is None
    ]
    return found


def _cups(store: Store, names: Names) -> list[tuple[str, ...]]:
    """Return the newest cups that are not empty; one whose amounts cannot be is told as such."""
    if not any(names.of_kind("batch")):
        return []
    from sprayout_core.mix.bounds import told
    from sprayout_library.record.cups import Shelf

    shelf = Shelf(store)
    told_cups: list[tuple[str, ...]] = []
    for key, batch in sorted(shelf.batches.items(), key=lambda pair: pair[1].poured_at or "", reverse=True):
        if len(told_cups) == _FEW:
            break
        try:
            left = shelf.left(key)
            amount = f"{told(left, 2)} {shelf.unit(key)} left"
        except SprayoutError as error:
            left, amount = None, error.fault.problem
        if left != 0:
            hardener = "hardener in" if batch.catalysed == "yes" else ""
            told_cups.append((batch.label or f"…{key[-6:]}", names.label(batch.formula), amount, hardener))
    return told_cups


def _drying(libraries: Sequence[str], now: datetime) -> list[tuple[str, ...]]:
    """Return the pieces on the stand of every session that runs, with the time since their last coat."""
    if not running_spray_days():
        return []
    from sprayout_library.session import open_sessions, piece_words, since_words

    try:
        running = list(open_sessions(*libraries))
    except SprayoutError as error:
        return [("a session", error.fault.problem, "", "")]
    return [
        (piece.name, f"over {piece.ground_name}", piece_words(piece, one.tally), since_words(piece.last, now))
        for one in running
        for piece in one.tally.on_stand()
    ]


def _next(names: Names, found: Bench) -> list[tuple[str, ...]]:
    steps: list[tuple[str, ...]] = []
    if not any(names.of_kind("formula")):
        steps.append(("write a mix", 'sprayout mix "Kelp glass = 5 weak teal : 2 strong teal"'))
    elif not any(names.of_kind("recipe")):
        steps.append(("write a recipe", 'sprayout recipe "..." --over GROUND --coat "5 NAME"'))
    elif found.not_sprayed and not found.pieces:
        recipe = next(names.of_kind("recipe")).name
        steps.append(("spray a panel", f'sprayout panel "{recipe}" --over GROUND --label CODE'))
    if found.drying:
        steps.append(("a coat is on", "sprayout spray coat all"))
    if found.without_reading:
        steps.append(("take readings in", "sprayout import FILE.csv"))
    steps.append(("all commands", "sprayout --help"))
    return steps
