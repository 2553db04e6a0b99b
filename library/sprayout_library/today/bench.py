"""What is on the bench: pieces sprayed lately, mixes not sprayed as they stand, panels without a reading."""

from __future__ import annotations

from dataclasses import dataclass, field

from sprayout_core.compare import Sprayed
from sprayout_core.documents import Formula, Library
from sprayout_library.record import Names, evidence_for
from sprayout_library.store import Store

__all__ = ["Bench", "bench"]

_FEW = 6


@dataclass(slots=True)
class Bench:
    """Rows for the first screen; each list holds the few newest."""

    title: str
    pieces: list[tuple[str, ...]] = field(default_factory=list)
    not_sprayed: list[tuple[str, ...]] = field(default_factory=list)
    without_reading: list[tuple[str, ...]] = field(default_factory=list)
    next_steps: list[tuple[str, ...]] = field(default_factory=list)


def bench(store: Store, names: Names) -> Bench:
    """Return what is on the bench of this library."""
    manifest = next(iter(store.documents("library")), None)
    found = Bench(manifest.name if isinstance(manifest, Library) else store.folder.name)
    evidence = evidence_for(store, "panel", "reading")
    panels = list(evidence.panels.values())
    panels.sort(key=lambda one: one.sprayed_at or one.provenance.at, reverse=True)
    for panel in panels[:_FEW]:
        over = f"over {names.label(panel.ground.id)}" if panel.ground else ""
        recipe = names.label(panel.recipe) if panel.recipe else ""
        found.pieces.append((panel.name, recipe, over, panel.stage.surface if panel.stage else ""))
    unread = [panel for panel in panels if not evidence.readings.get(panel.id)]
    found.without_reading.extend((panel.name,) for panel in unread[:_FEW])
    for entry in names.of_kind("formula"):
        if entry.withdrawn or len(found.not_sprayed) >= _FEW:
            continue
        formula = store.get(entry.id)
        if isinstance(formula, Formula) and not formula.slots:
            state = evidence.status(formula, store).state
            if state in (Sprayed.CHANGED, Sprayed.NEVER):
                found.not_sprayed.append((formula.name, state.value))
    found.next_steps = _next(names, found)
    return found


def _next(names: Names, found: Bench) -> list[tuple[str, ...]]:
    steps: list[tuple[str, ...]] = []
    if not any(names.of_kind("formula")):
        steps.append(("write a mix", 'sprayout mix "Kelp glass = 5 weak teal : 2 strong teal"'))
    elif not any(names.of_kind("recipe")):
        steps.append(("write a recipe", 'sprayout recipe "..." --over GROUND --coat "5 NAME"'))
    if found.without_reading:
        steps.append(("take readings in", "sprayout import FILE.csv"))
    steps.append(("all commands", "sprayout --help"))
    return steps
