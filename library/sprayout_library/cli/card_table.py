"""What the card commands read: the picture of a card with its frame, a table of known colours."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.light import View
    from sprayout_core.tables import TableReading
    from sprayout_library.cards import PrintedCard
    from sprayout_library.store import Store

__all__ = ["counts_of", "picture_bytes", "table_rows"]


_ENOUGH = (512 << 20) + 1
"""Bytes of a picture that are read: one more than is ever decoded, so that a larger one is refused as too large."""


def picture_bytes(scan: Path) -> bytes:
    """Return the bytes of a picture that is finished being written."""
    from sprayout_library.inbox import copied

    with copied(scan) as copy, copy.source.open() as stream:
        return stream.read(_ENOUGH)


def counts_of(card: PrintedCard, store: Store) -> dict[str, int]:
    """Return how many coats each step of a card's step window has, where a step panel belongs there."""
    from sprayout_core.documents import Panel

    counts: dict[str, int] = {}
    for cell, piece in card.pieces.items():
        window, _, label = cell.partition("/")
        panel = store.get(piece.panel) if window == "step card" else None
        if isinstance(panel, Panel) and panel.steps and label in panel.steps:
            counts[label] = panel.steps[label]
    return counts


def table_rows(file: Path, words: Sequence[str], view: View) -> tuple[list[TableReading], View, str]:
    """Return the rows of a table of known colours, the view for spectra, and the table's digest."""
    from sprayout_core.tables import RowLeftOut
    from sprayout_library.inbox import Readers, copied, options_from_words

    given = options_from_words(words)
    readers = Readers()
    with copied(file) as copy:
        plugin, preview = readers.preview(copy.source, given).chosen(None)
        if preview.faults:
            raise SprayoutError(f"{file.name}: {preview.faults[0].problem}", preview.faults[0].remedy or "Mend it.")
        if preview.questions:
            asked = " ".join(f"--set {question.option}=..." for question in preview.questions)
            raise SprayoutError(f"{file.name} does not say all", f"Answer what it asks: {asked}")
        found = list(readers.rows(copy.source, plugin, given))
        left = [one for one in found if isinstance(one, RowLeftOut)]
        if left:
            raise SprayoutError(f"line {left[0].line} gives no colour: {left[0].reason}", "Mend the table.")
        return [one for one in found if not isinstance(one, RowLeftOut)], view, copy.source.digest
