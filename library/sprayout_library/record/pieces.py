"""Pieces by the words people use: a panel by its label, one step or zone of it after a stroke."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sprayout_core.documents.which import is_panel
from sprayout_core.errors import SprayoutError
from sprayout_library.record.names import Names, NotKnown
from sprayout_library.record.placing import spot_of
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.documents import Piece, Standard

__all__ = ["piece_from_words", "piece_name", "tied_from_words"]


def piece_from_words(text: str, names: Names, store: Store) -> Piece:
    """Return a piece by "KF-2", or one step or zone of it by "KF-2/3", "KF-2/over black", "KF-2/3/over black".

    Raises NotKnown for a panel that is not here, and for a step or zone it does not have.
    """
    name, place = (text, None) if names.matching(text, "panel") else spot_of(text)
    if place is not None and not names.matching(name, "panel"):
        shorter, step = spot_of(name)
        if step is not None and names.matching(shorter, "panel"):
            name, place = shorter, f"{step}/{place}"
    from sprayout_core.documents import Piece

    entry = names.find(name, "panel")
    if place is None:
        return Piece(panel=entry.id)
    panel = store.get(entry.id)
    assert is_panel(panel)
    steps, zones = list(panel.steps or {}), list(panel.zones or [])
    zone = place.casefold().replace(" ", "_")
    step, stroke, of_step = zone.partition("/")
    if stroke and step in steps and of_step in zones:
        return Piece(panel=entry.id, step=step, zone=of_step)
    if place in steps:
        return Piece(panel=entry.id, step=place)
    if zone in zones:
        return Piece(panel=entry.id, zone=zone)
    raise NotKnown(f"{entry.name} has no step or zone {place!r}", f"It has: {', '.join([*steps, *zones]) or 'none'}.")


def tied_from_words(words: Sequence[str], names: Names, store: Store) -> list[list[Piece]]:
    """Return pieces in order from words; "A=B" says that these two look the same."""
    tied = []
    for word in words:
        alone = names.matching(word, "panel")
        tied.append([piece_from_words(one.strip(), names, store) for one in ([word] if alone else word.split("="))])
    flat = [(piece.panel, piece.step, piece.zone) for group in tied for piece in group]
    if len(set(flat)) != len(flat):
        raise SprayoutError("a piece stands twice", "Name each piece once.")
    return tied


def piece_name(piece: Piece | Standard, names: Names) -> str:
    """Return what a piece is called, or the piece that is a standard."""
    place = "/".join(one for one in (piece.step, (piece.zone or "").replace("_", " ")) if one)
    return names.label(piece.panel) + (f"/{place}" if place else "")
