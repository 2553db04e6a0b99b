"""What lies behind a formula or a recipe: its panels, their readings, judgements and pictures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from sprayout_core.compare import Status, recipe_status, status
from sprayout_core.documents.which import is_judgement, is_panel, is_picture, is_reading, is_recipe
from sprayout_library.record.measured import in_force
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Formula, Judgement, Panel, Picture, Reading, Recipe

__all__ = ["Evidence", "Pieces", "SprayedPiece", "evidence_for", "ground_colours", "judged_panels", "panels_named"]


#: The kinds that are evidence.
EVIDENCE = ("panel", "reading", "judgement", "picture")


class SprayedPiece(Protocol):
    """A panel as far as gaps ask."""

    id: str

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def stage(self) -> object:
        """Whether it is bare, cleared or polished; None where nobody said."""

    @property
    def withdrawn(self) -> Mapping[str, int] | None:
        """None while it stands."""


class Pieces(Protocol):
    """What was sprayed, as far as gaps ask: evidence answers, and so does an index."""

    def panels_of(self, document: Document, /) -> Sequence[SprayedPiece]:
        """Return the panels of a recipe, or those that sprayed a formula."""

    def is_measured(self, panel: str, /) -> bool:
        """Say whether a panel has a reading that counts."""

    def is_pictured(self, panel: str, /) -> bool:
        """Say whether a picture shows a panel."""

    def is_ground_measured(self, ground: str, /) -> bool:
        """Say whether a ground was measured bare."""


@dataclass(slots=True)
class Evidence:
    """Everything sprayed in a library, by what it is evidence for."""

    panels: dict[str, Panel] = field(default_factory=dict)
    readings: dict[str, list[Reading]] = field(default_factory=lambda: defaultdict(list))
    judgements: dict[str, list[Judgement]] = field(default_factory=lambda: defaultdict(list))
    pictures: dict[str, list[Picture]] = field(default_factory=lambda: defaultdict(list))

    def panels_of(self, document: Document) -> list[Panel]:
        """Return the panels of a recipe, or those that sprayed a formula, by when they were sprayed."""
        if is_recipe(document):
            found = [panel for panel in self.panels.values() if panel.recipe == document.id]
        else:
            found = [panel for panel in self.panels.values() if document.id in (panel.proofs or {})]
        return sorted(found, key=lambda panel: (panel.sprayed_at or panel.provenance.at, panel.id))

    def is_measured(self, panel: str) -> bool:
        """Say whether a panel has a reading that counts."""
        return bool(in_force(self.readings.get(panel, [])))

    def is_pictured(self, panel: str) -> bool:
        """Say whether a picture shows a panel."""
        return bool(self.pictures.get(panel))

    def is_ground_measured(self, ground: str) -> bool:
        """Say whether a ground was measured bare."""
        return bool(ground_colours(self, ground))

    def status(self, document: Formula | Recipe, store: Store) -> Status:
        """Return whether a formula or a recipe was sprayed as it stands."""
        panels: Iterable[Panel] = self.panels_of(document)
        if is_recipe(document):
            return recipe_status(document, panels, store.find)
        return status(document, panels, store.find)


def evidence_for(store: Store, *kinds: str) -> Evidence:
    """Return the evidence in a library as it stands; of some kinds only where they are named.

    Status needs panels alone, and reading what is not needed takes time.
    """
    found = Evidence()
    for kind in kinds or EVIDENCE:
        for document in store.documents(kind):
            _take(found, document)
    return found


def _take(found: Evidence, document: Document) -> None:
    if is_panel(document):
        found.panels[document.id] = document
    elif is_reading(document):
        found.readings[document.panel].append(document)
    elif is_judgement(document):
        for panel_id in judged_panels(document):
            found.judgements[panel_id].append(document)
    elif is_picture(document):
        for piece in document.shows:
            found.pictures[piece.panel].append(document)


def panels_named(document: Document) -> set[str]:
    """Return the ids of the panels that a piece of evidence is about: of itself, where it is a panel."""
    if is_panel(document):
        return {document.id}
    if is_reading(document):
        return {document.panel}
    if is_judgement(document):
        return judged_panels(document)
    return {piece.panel for piece in document.shows} if is_picture(document) else set()


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
        for reading in in_force(evidence.readings.get(panel.id, [])):
            if reading.step == "0" or not panel.coats:
                found.append(reading)
    return found
