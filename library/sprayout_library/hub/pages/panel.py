"""A panel on its page: what it is, how it looks in several lights, what was seen of it."""

from __future__ import annotations

from sprayout_core.documents import Document, Panel, Reading
from sprayout_library.hub.pages.pieces import Band, bands_of, seen_in
from sprayout_library.hub.pages.told import Told
from sprayout_library.hub.pages.visit import Visit
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
        facts.append((f"{coat.count} coats of", visit.names.label(coat.formula) + through))
    facts += [("stage", document.stage.surface)] if document.stage else []
    facts += [("kept", document.kept)] if document.kept else []
    found = visit.evidence([document.id])
    seen = [told_judgement(one, visit.names) for one in standing(found.judgements.get(document.id, []))]
    pictures = [
        (one.id, told_picture(one, visit.names)) for one in found.pictures.get(document.id, []) if one.withdrawn is None
    ]
    readings = found.readings.get(document.id, [])
    more = {
        "piece": visit.pieces([document.id]).get(document.id), "lights": _lit(document.id, readings, visit),
        "seen": seen, "pictures": pictures, "readings": len(readings), "sprayed_at": document.sprayed_at,
        "others": visit.alike(document),
    }  # fmt: skip
    return Told(facts, more)


def in_lights(panel: str, visit: Visit) -> list[tuple[str, str, Band]]:
    """Return a piece under each light a shop meets, where spectra tell it."""
    return _lit(panel, visit.evidence([panel]).readings.get(panel, []), visit)


def _lit(panel: str, readings: list[Reading], visit: Visit) -> list[tuple[str, str, Band]]:
    from sprayout_core.light import VIEWS

    measured = [one for reading in readings for one in reading.measured]
    if panel not in visit.hung or not any(one.reduced or one.spectrum for one in measured):
        return []
    found = []
    for name, view in VIEWS.items():
        bands = bands_of(visit.hung[panel], seen_in(readings, view), view)
        if bands:
            found.append((name, str(view), bands[-1]))
    return found
