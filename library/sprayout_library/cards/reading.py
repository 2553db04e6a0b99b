"""From a card's result to readings: grade image-derived, L*a*b* with its interval, one for each piece laid in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Piece, Reading
from sprayout_core.errors import SprayoutError
from sprayout_library.cards.printed import PrintedCard
from sprayout_library.record.patterns import quantised

if TYPE_CHECKING:
    from sprayout_core.card import CardResult, PatchResult
    from sprayout_library.record import Writer

__all__ = ["CardReadings", "card_readings"]

_DIGITS = 2
"""Decimals of L*, a*, b* and of the interval, which is 2 or more: further ones would say nothing."""


@dataclass(slots=True)
class CardReadings:
    """What a card gives to the library: each piece with its reading and its patch, and pieces without a colour.

    known     ids of readings that the library has already
    unlaid    cells with a colour that the card was not printed for
    """

    found: list[tuple[Piece, Reading, PatchResult]] = field(default_factory=list)
    refused: list[tuple[Piece, PatchResult]] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    unlaid: list[str] = field(default_factory=list)

    @property
    def fresh(self) -> list[Reading]:
        """The readings to save."""
        return [reading for _, reading, _ in self.found if reading.id not in self.known]


def card_readings(writer: Writer, card: PrintedCard, result: CardResult, stage: str, geometry: str) -> CardReadings:
    """Return the readings of the pieces that a card was printed for; nothing is saved.

    stage     bare, cleared or polished
    geometry  that of the reference's values: the card's colours stand in for what that would have given

    Raises SprayoutError where a cell of this picture has been read with other outcome: two readings of one picture
    are not two measurements. A cell that lay for no piece then may be read now.
    """
    from sprayout_core.card import WindowKind

    told = CardReadings()
    digest = "sha256:" + result.picture
    before = [one for one in writer.store.documents("reading") if one.provenance.source == digest]
    have = {one.id for one in before}
    for patch in result.patches:
        if patch.kind is WindowKind.REFERENCE:
            continue
        cell = f"{patch.window}/{patch.label}"
        piece = card.pieces.get(cell)
        if piece is None:
            if patch.lab is not None and patch.refusal is None:
                told.unlaid.append(cell)
        elif patch.lab is None or patch.interval is None or patch.refusal is not None:
            told.refused.append((piece, patch))
        else:
            facts = dict(_facts(piece, patch, result, stage, geometry))
            reading = writer.new("reading", facts, source=digest, source_place=cell)
            assert isinstance(reading, Reading)
            told.found.append((piece, reading, patch))
            if reading.id in have:
                told.known.append(reading.id)
    read = {one.provenance.source_place for one in before}
    if any(reading.provenance.source_place in read for reading in told.fresh):
        raise SprayoutError(
            "this picture was read before, with other target values or another stage",
            "Nothing was changed. Withdraw those readings first, or take a new picture.",
        )
    return told


def _facts(
    piece: Piece, patch: PatchResult, result: CardResult, stage: str, geometry: str
) -> Iterator[tuple[str, Any]]:
    assert patch.lab is not None
    assert patch.interval is not None
    view = result.reference.view
    yield "panel", piece.panel
    if piece.step is not None:
        yield "step", piece.step
    if piece.zone is not None:
        yield "zone", piece.zone
    yield "stage", {"surface": stage}
    yield "grade", result.grade
    coordinates = {
        "lab": [quantised(value, _DIGITS) for value in patch.lab],
        "illuminant": str(view.illuminant),
        "observer": view.observer,
    }
    interval = max(quantised(patch.interval, _DIGITS), 0.01)
    yield "measured", [{"geometry": geometry, "coordinates": coordinates, "uncertainty": interval}]
