"""Documents and evidence that a page asks for, fetched by kind and id, many in one go."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from sprayout_core.documents import Document, read
from sprayout_core.documents.kept import look
from sprayout_library.index import asking
from sprayout_library.index.rows import key, text_of
from sprayout_library.index.slim import decoder
from sprayout_library.record.about import gathered_evidence
from sprayout_library.store.layout import ID, path_of

if TYPE_CHECKING:
    from sprayout_library.index import Index
    from sprayout_library.index.slim import Reading as SlimReading
    from sprayout_library.record import Evidence
    from sprayout_library.store import Store

__all__ = ["evidence_about", "pairs_about", "readings_of", "reads_of", "seen_of"]


def reads_of(store: Store, asked: Sequence[tuple[str, str]]) -> list[Document | None]:
    """Return documents by kind and id as the store reads them, None for each that is not there.

    Readings are there to look at only: nobody edits one here.
    """
    known = [pair for pair in asked if ID.fullmatch(pair[1])]
    contents = store.reader.contents([f"{store.head}:{path_of(kind, name)}" for kind, name in known])
    held = {pair: content for pair, content in zip(known, contents, strict=True) if content is not None}
    return [(look if pair[0] == "reading" else read)(held[pair]) if pair in held else None for pair in asked]


def readings_of(store: Store, names: Sequence[str]) -> list[SlimReading]:
    """Return readings as far as their colours go."""
    asked = [f"{store.head}:{path_of('reading', name)}" for name in names if ID.fullmatch(name)]
    decode = decoder("reading").decode
    return [decode(content) for content in store.reader.contents(asked) if content is not None]


def seen_of(index: Index, panels: Iterable[str], *kinds: str) -> list[tuple[str, str]]:
    """Return kind and id of everything that speaks of some panels, of some kinds only where they are named."""
    query = "SELECT id, kind FROM sees WHERE panel = ?"
    found = {(kind, text_of(raw)) for name in panels for raw, kind in index.rows(query, (key(name),))}
    return sorted(pair for pair in found if not kinds or pair[0] in kinds)


def evidence_about(store: Store, panels: Iterable[str]) -> Evidence:
    """Return some panels with their readings, judgements and pictures."""
    asked = list(dict.fromkeys(panels))
    seen = asking(store, lambda index: seen_of(index, asked)) if asked else []
    return gathered_evidence(one for one in reads_of(store, pairs_about(asked, seen)) if one is not None)


def pairs_about(panels: Sequence[str], seen: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return kind and id of panels, and of what was seen of them; panels seen besides are left out."""
    return [*(("panel", name) for name in panels), *(pair for pair in seen if pair[0] != "panel")]
