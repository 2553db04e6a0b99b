"""A panel on its page: what it is, how it looks in several lights, what was seen of it."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_core.documents import Document, Panel
from sprayout_core.documents.which import is_judgement, is_picture
from sprayout_library.hub.pages.fetched import readings_of, seen_of
from sprayout_library.hub.pages.pieces import Band, bands_of, coat_words
from sprayout_library.hub.pages.rack import looked_in
from sprayout_library.hub.pages.told import Told, coats_of
from sprayout_library.hub.pages.visit import Visit
from sprayout_library.index.slim import Reading
from sprayout_library.record.seen import standing, told_judgement, told_picture

__all__ = ["in_lights", "panel_told"]


def panel_told(document: Document, visit: Visit) -> Told:
    """Return what a panel's page shows."""
    assert isinstance(document, Panel)
    facts = []
    if document.recipe:
        facts.append(("recipe", visit.names.label(document.recipe)))
    if document.ground:
        facts.append(("over", visit.names.label(document.ground.id)))
    for coat in document.coats or []:
        through = f", through {coat.spray_ready}" if coat.spray_ready else ""
        laid = (
            visit.names.label(coat.formula) if document.steps else coats_of(coat.count, visit.names.label(coat.formula))
        )
        facts.append(("coats", laid + through))
    if document.steps:  # the steps say how many, each for itself
        facts.append(("steps", ", ".join(coat_words(count) for count in sorted(set(document.steps.values())))))
    facts += [("stage", document.stage.surface)] if document.stage else []
    facts += [("kept", document.kept)] if document.kept else []
    about = visit.asking(lambda index: seen_of(index, [document.id]))
    by_eye = visit.seen.documents(visit.store, [pair for pair in about if pair[0] in ("judgement", "picture")])
    seen = [told_judgement(one, visit.names) for one in standing(one for one in by_eye if is_judgement(one))]
    pictures = [(one.id, told_picture(one, visit.names)) for one in by_eye if is_picture(one) and one.withdrawn is None]
    readings = readings_of(visit.store, [name for kind, name in about if kind == "reading"])
    more = {
        "piece": visit.pieces([document.id]).get(document.id), "lights": _lit(document.id, readings, visit),
        "seen": seen, "pictures": pictures, "readings": len(readings), "sprayed_at": document.sprayed_at,
        "others": visit.alike(document),
    }  # fmt: skip
    return Told(facts, more)


def in_lights(panel: str, visit: Visit) -> list[tuple[str, str, Band]]:
    """Return a piece under each light a shop meets, where spectra tell it."""
    about = visit.asking(lambda index: seen_of(index, [panel], "reading"))
    return _lit(panel, readings_of(visit.store, [name for _, name in about]), visit)


def _lit(panel: str, readings: Sequence[Reading], visit: Visit) -> list[tuple[str, str, Band]]:
    from sprayout_core.light import VIEWS

    measured = [one for reading in readings for one in reading.measured]
    if panel not in visit.hung or not any(one.reduced or one.spectrum for one in measured):
        return []
    found = []
    looked = looked_in(readings, list(VIEWS.values()))
    for (name, view), seen in zip(VIEWS.items(), looked, strict=True):
        bands = bands_of(visit.hung[panel], seen, view)
        if bands:
            found.append((name, str(view), bands[-1]))
    return found
