"""The evidence about one document only: what others are evidence of is passed over without being understood."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from sprayout_core.documents import Document, Judgement, Panel, Picture, Reading, Recipe, read
from sprayout_library.record.evidence import Evidence, evidence_for, judged_panels
from sprayout_library.store import Store

__all__ = ["evidence_about", "evidence_of_panels", "gathered_evidence"]

#: Where a reading, judgement or picture names its panel in the stored form.
_PANEL = re.compile(rb'"panel": "([0-9a-f-]{36})"')
_SEEN = ("reading", "judgement", "picture")


def gathered_evidence(documents: Iterable[Document]) -> Evidence:
    """Return the evidence among these documents; other kinds are passed over."""
    found = Evidence()
    for document in documents:
        if isinstance(document, Panel):
            found.panels[document.id] = document
        elif isinstance(document, Reading):
            found.readings[document.panel].append(document)
        elif isinstance(document, Judgement):
            for panel in judged_panels(document):
                found.judgements[panel].append(document)
        elif isinstance(document, Picture):
            for piece in document.shows:
                found.pictures[piece.panel].append(document)
    return found


def evidence_of_panels(store: Store, panels: Collection[str], *kinds: str) -> Evidence:
    """Return the readings, judgements and pictures (or some of these kinds) of some panels."""
    wanted = {panel.encode("ascii") for panel in panels}
    return gathered_evidence(
        read(content)
        for kind in kinds or _SEEN
        for _, content in store.raw(kind)
        if wanted.intersection(_PANEL.findall(content))
    )


def evidence_about(store: Store, document: Document) -> Evidence:
    """Return what `gaps_of` asks for: every panel, and what was seen of those of a document and of its grounds."""
    found = evidence_for(store, "panel")
    grounds = {thing.id for thing in (document.grounds or {}).values()} if isinstance(document, Recipe) else set()
    about = {panel.id for panel in found.panels_of(document)}
    about |= {one.id for one in found.panels.values() if one.ground is not None and one.ground.id in grounds}
    seen = evidence_of_panels(store, about)
    return Evidence(found.panels, seen.readings, seen.judgements, seen.pictures)
