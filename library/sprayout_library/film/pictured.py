"""How many coats is this? From one picture of a piece beside the step card of its recipe."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sprayout_core.documents import Panel
from sprayout_library.film.counting import coats_wanted
from sprayout_library.film.laid_beside import LEAST_STEPS, Counted, linear_light
from sprayout_library.film.reading_of import coats_counted
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_name
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.card import CardResult
    from sprayout_core.film import CoatCount, NextCoats
    from sprayout_library.cards import CardMeasured, KnownColours

__all__ = ["count_in_picture"]


def count_in_picture(
    store: Store,
    names: Names,
    name: str,
    picture: bytes,
    known: Sequence[KnownColours],
    laid: float | None = None,
    wanted: float | None = None,
) -> Counted:
    """Return how many coats of the step card the piece in one picture of both comes to; writes nothing.

    name, picture, known   as `measure_card` takes them
    laid, wanted           as `count_coats` takes them; by default those of the piece that the card was printed for

    The count rests on the picture alone, piece and steps beside grey strips in one light. What one more coat would
    do is told by the corrected colours of the steps. Raises what `measure_card` and `coats_in` raise.
    """
    from sprayout_library.cards import coats_in, measure_card

    measured = measure_card(store, name, picture, known)
    counts = _counts(store, measured)
    count = coats_in(measured.result, counts)
    piece = measured.card.pieces.get("piece/piece")
    panel = store.find(piece.panel) if piece else None
    if piece is not None and isinstance(panel, Panel):
        laid = laid or coats_counted(panel, piece)
        wanted = wanted or coats_wanted(store, panel)
    further = _further(measured.result, counts, count, laid, wanted) if laid and wanted else None
    called = piece_name(piece, names) if piece else "the piece"
    return Counted(
        called, _card_name(measured, names), "image-derived", (measured.geometry,), count, laid, wanted, further,
        ("counted by picture: piece and card in one light, one frame", *count.notes),
    )  # fmt: skip


def _counts(store: Store, measured: CardMeasured) -> dict[str, int]:
    """Return the coats of each step laid in, by its label."""
    counts: dict[str, int] = {}
    for cell, piece in measured.card.pieces.items():
        window, _, label = cell.partition("/")
        panel = store.find(piece.panel) if window == "step card" else None
        if isinstance(panel, Panel) and panel.steps and label in panel.steps:
            counts[label] = panel.steps[label]
    return counts


def _card_name(measured: CardMeasured, names: Names) -> str:
    cells = measured.card.pieces.items()
    return next((names.label(piece.panel) for cell, piece in cells if cell.startswith("step card/")), "the step card")


def _further(
    result: CardResult, counts: dict[str, int], count: CoatCount, laid: float, wanted: float
) -> NextCoats | None:
    import numpy as np

    from sprayout_core.card import WindowKind
    from sprayout_core.film import StepCard, more_coats_seen
    from sprayout_core.light import lab

    steps = {
        counts[patch.label]: patch.lab
        for patch in result.patches
        if patch.kind is WindowKind.STEPS and patch.lab is not None and patch.label in counts
    }
    if len(steps) < LEAST_STEPS:
        return None
    rows = [linear_light(np.array(steps[step]), result.reference.view) for step in sorted(steps)]
    card = StepCard(np.array(sorted(steps), dtype=float), np.maximum(np.array(rows), 1e-4))
    return more_coats_seen({"": card}, count, laid, wanted, lambda values: lab(np.maximum(values, 0.0), np.ones(3)))
