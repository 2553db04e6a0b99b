"""The evidence about one document only: what others are evidence of is passed over without being understood."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Iterable, Iterator
from typing import TYPE_CHECKING

from sprayout_core.documents.which import is_judgement, is_panel, is_picture, is_reading, is_recipe
from sprayout_library.record.evidence import Evidence, evidence_for, judged_panels
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.documents import Document

__all__ = ["evidence_about", "evidence_of_panels", "gathered_evidence"]

#: Where a reading, judgement or picture names its panel in the stored form.
_PANEL = re.compile(rb'"panel": "([0-9a-f-]{36})"')
_SEEN = ("reading", "judgement", "picture")


def gathered_evidence(documents: Iterable[Document]) -> Evidence:
    """Return the evidence among these documents; other kinds are passed over."""
    found = Evidence()
    for document in documents:
        if is_panel(document):
            found.panels[document.id] = document
        elif is_reading(document):
            found.readings[document.panel].append(document)
        elif is_judgement(document):
            for panel in judged_panels(document):
                found.judgements[panel].append(document)
        elif is_picture(document):
            for piece in document.shows:
                found.pictures[piece.panel].append(document)
    return found


def evidence_of_panels(store: Store, panels: Collection[str], *kinds: str) -> Evidence:
    """Return the readings, judgements and pictures (or some of these kinds) of some panels."""
    return gathered_evidence(_seen(store, panels, kinds or _SEEN))


def _seen(store: Store, panels: Collection[str], kinds: Iterable[str]) -> Iterator[Document]:
    wanted = {panel.encode("ascii") for panel in panels}
    for kind in kinds:
        for _, content in store.raw(kind):
            if wanted.intersection(_PANEL.findall(content)):
                yield store.understand(content)


def evidence_about(store: Store, *about: Document, beside: Iterable[Document] = ()) -> Evidence:
    """Return what `gaps_of` asks for: every panel, and what was seen of those of some documents and their grounds.

    beside   documents that are not here yet, such as those of a packet; their state counts
    """
    own = list(beside)
    known = {one.id for one in own}
    found = evidence_for(store, "panel")
    found.panels.update(gathered_evidence(own).panels)
    grounds = {thing.id for one in about if is_recipe(one) for thing in (one.grounds or {}).values()}
    wanted = {panel.id for one in about for panel in found.panels_of(one)}
    wanted |= {panel.id for panel in found.panels.values() if panel.ground is not None and panel.ground.id in grounds}
    here = (one for one in _seen(store, wanted, _SEEN) if one.id not in known)
    seen = gathered_evidence(itertools.chain(own, here))
    return Evidence(found.panels, seen.readings, seen.judgements, seen.pictures)
