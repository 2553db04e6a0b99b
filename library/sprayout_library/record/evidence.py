"""What lies behind a formula or a recipe: its panels, their readings, judgements and pictures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from sprayout_core.compare import Status, recipe_status, status
from sprayout_core.documents import Document, Formula, Judgement, Panel, Picture, Reading, Recipe
from sprayout_library.store import Store

__all__ = ["Evidence", "evidence_for", "ground_colours", "judged_panels"]


@dataclass(slots=True)
class Evidence:
    """Everything sprayed in a library, by what it is evidence for."""

    panels: dict[str, Panel] = field(default_factory=dict)
    readings: dict[str, list[Reading]] = field(default_factory=lambda: defaultdict(list))
    judgements: dict[str, list[Judgement]] = field(default_factory=lambda: defaultdict(list))
    pictures: dict[str, list[Picture]] = field(default_factory=lambda: defaultdict(list))

    def panels_of(self, document: Document) -> list[Panel]:
        """Return the panels of a recipe, or those that sprayed a formula, by when they were sprayed."""
        if isinstance(document, Recipe):
            found = [panel for panel in self.panels.values() if panel.recipe == document.id]
        else:
            found = [panel for panel in self.panels.values() if document.id in (panel.proofs or {})]
        return sorted(found, key=lambda panel: (panel.sprayed_at or panel.provenance.at, panel.id))

    def status(self, document: Formula | Recipe, store: Store) -> Status:
        """Return whether a formula or a recipe was sprayed as it stands."""
        panels: Iterable[Panel] = self.panels_of(document)
        if isinstance(document, Recipe):
            return recipe_status(document, panels, store.find)
        return status(document, panels, store.find)


def evidence_for(store: Store) -> Evidence:
    """Return the evidence in a library as it stands."""
    found = Evidence()
    for panel in store.documents("panel"):
        assert isinstance(panel, Panel)
        found.panels[panel.id] = panel
    for reading in store.documents("reading"):
        assert isinstance(reading, Reading)
        found.readings[reading.panel].append(reading)
    for judgement in store.documents("judgement"):
        assert isinstance(judgement, Judgement)
        for panel_id in judged_panels(judgement):
            found.judgements[panel_id].append(judgement)
    for picture in store.documents("picture"):
        assert isinstance(picture, Picture)
        for piece in picture.shows:
            found.pictures[piece.panel].append(picture)
    return found


def judged_panels(judgement: Judgement) -> set[str]:
    """Return the ids of the panels that a judgement speaks of."""
    pieces = [piece for tied in judgement.pieces for piece in tied]
    return {piece.panel for piece in [*pieces, *([judgement.against] if judgement.against else [])]}


def ground_colours(evidence: Evidence, ground: str) -> list[Reading]:
    """Return the readings of a bare ground: of step 0, or of a panel of that ground without coats."""
    found = []
    for panel in evidence.panels.values():
        if panel.ground is None or panel.ground.id != ground:
            continue
        for reading in evidence.readings.get(panel.id, []):
            if reading.step == "0" or not panel.coats:
                found.append(reading)
    return found
