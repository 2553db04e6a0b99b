"""What goes into a packet: the documents asked for, all they refer to, and the evidence of their panels."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from sprayout_core.compare import Naming
from sprayout_core.documents import Document, Formula, Recipe, tree
from sprayout_core.errors import SprayoutError
from sprayout_library.packet.container import MOST_DOCUMENTS, Packet, shown
from sprayout_library.record import Evidence, evidence_for
from sprayout_library.record.about import evidence_of_panels, gathered_evidence
from sprayout_library.record.evidence import judged_panels
from sprayout_library.record.gaps import gaps_of
from sprayout_library.store import Store

__all__ = ["gathered", "referred"]

_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.ASCII)


def referred(plain: Mapping[str, Any]) -> set[str]:
    """Return the ids of all documents that a document's tree refers to, answers in question included."""
    found = set(_ids({name: value for name, value in plain.items() if name not in ("id", "made", "seen", "edits")}))
    return found - {plain["id"]}


def _ids(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for name, item in value.items():
            if _ID.fullmatch(name):
                yield name
            yield from _ids(item)
    elif isinstance(value, list):
        for item in value:
            yield from _ids(item)
    elif isinstance(value, str) and _ID.fullmatch(value):
        yield value


def gathered(
    store: Store, about: Sequence[Document], sent: Mapping[str, str], name: Naming, sources: Mapping[str, bytes]
) -> Packet:
    """Return a packet about these documents: what they need, their panels, and what was seen of those.

    sent     what the sender says of himself: from, shop, by, at, tool
    sources  contents by digest that go along, from `sprayout_library.sources`

    Raises SprayoutError where it would grow beyond what a packet may hold.
    """
    if stays := [one for one in about if one.kind == "library"]:
        raise SprayoutError(f"{stays[0].name} is the manifest of this library", "Name recipes, mixes, panels.")
    evidence = evidence_for(store, "panel")
    found: dict[str, Document] = {}
    panels = [panel for one in about if isinstance(one, Formula | Recipe) for panel in evidence.panels_of(one)]
    _reach(store, [*about, *(panel for panel in panels if panel.withdrawn is None)], found)
    grounds = {thing.id for one in about if isinstance(one, Recipe) for thing in (one.grounds or {}).values()}
    bare = [panel for panel in evidence.panels.values() if panel.ground and panel.ground.id in grounds]
    _reach(store, [panel for panel in bare if not panel.coats and panel.withdrawn is None], found)
    panels_in = [identity for identity, document in found.items() if document.kind == "panel"]
    _reach(store, list(_seen_of(evidence_of_panels(store, panels_in), found)), found)
    inside = gathered_evidence(found.values())
    gaps = []
    for one in about:
        gaps += [(gap.about, gap.question) for gap in gaps_of(one, found.get, inside, name)]
    unique = tuple(dict.fromkeys((_short(about), _short(question)) for about, question in gaps))
    said = {name: _short(text) for name, text in sent.items() if text}
    return Packet(tuple(one.id for one in about), said, unique, found, dict(sources))


def _short(text: str) -> str:
    kept = shown(text)
    return kept if len(kept) <= 290 else kept[:289] + "…"


def _reach(store: Store, start: Iterable[Document], found: dict[str, Document]) -> None:
    waiting = list(start)
    while waiting:
        document = waiting.pop()
        if document.id in found or document.kind == "library":
            continue
        found[document.id] = document
        if len(found) > MOST_DOCUMENTS:
            raise SprayoutError(f"more than {MOST_DOCUMENTS} documents belong to it", "Sync instead of packing.")
        for identity in referred(tree(document)):
            if identity not in found and (needed := store.get(identity)) is not None:
                waiting.append(needed)


def _seen_of(evidence: Evidence, found: Mapping[str, Document]) -> Iterator[Document]:
    """Yield readings, judgements and pictures of the panels found; of several panels only where all are in."""
    for panel in [identity for identity, document in found.items() if document.kind == "panel"]:
        yield from evidence.readings.get(panel, ())
        for judgement in evidence.judgements.get(panel, ()):
            if judged_panels(judgement) <= found.keys():
                yield judgement
        for picture in evidence.pictures.get(panel, ()):
            if {piece.panel for piece in picture.shows} <= found.keys():
                yield picture
