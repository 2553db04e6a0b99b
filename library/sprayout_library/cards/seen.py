"""A picture of a card from its bytes to readings that are kept: looked at first, taken in when somebody says so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sprayout_core.errors import SprayoutError
from sprayout_library.cards.asking import card_in, measured_card
from sprayout_library.cards.printed import Cards, PrintedCard
from sprayout_library.cards.reading import CardReadings, card_readings
from sprayout_library.cards.targets import KnownColours, reference_for

if TYPE_CHECKING:
    from sprayout_core.card import CardResult, PatchResult
    from sprayout_core.documents import Piece, Reading
    from sprayout_library.record import Writer
    from sprayout_library.store import Store

__all__ = ["CardMeasured", "CardSeen", "CellSeen", "keep_card", "look_at_card", "measure_card"]


_NOT_KEPT = "The picture itself is not kept: it is very large, or tells where it was taken."


@dataclass(frozen=True, slots=True)
class CardMeasured:
    """A picture that was measured: the card it shows, what it gave, and the geometry of the known colours.

    picture  the bytes that were measured: what is kept, and what `result.picture` is the digest of
    """

    picture: bytes
    card: PrintedCard
    result: CardResult
    geometry: str

    @property
    def identity(self) -> str:
        """The card's identity, as printed at its foot."""
        return self.card.frame.identity

    @property
    def overlay(self) -> bytes:
        """PNG of the straightened sheet with every area that was looked at."""
        return self.result.overlay


@dataclass(frozen=True, slots=True)
class CellSeen:
    """One window or cell of the card.

    cell     'window/label' as the frame names it, such as 'pieces/A1' or 'step card/3'
    what     `fresh`: a reading to be taken in; `known`: the library has it; `refused`: no colour, see
             `patch.refusal`; `unlaid`: a colour where the card was printed for no piece; `reference`: a known
             colour; `empty`: neither a piece nor a colour
    piece    the piece laid there, where the card was printed for one
    patch    colour, interval, quality, area in mm
    reading  what would be saved, for `fresh` and `known`
    """

    cell: str
    what: Literal["fresh", "known", "refused", "unlaid", "reference", "empty"]
    patch: PatchResult
    piece: Piece | None = None
    reading: Reading | None = None


@dataclass(frozen=True, slots=True)
class CardSeen:
    """What a picture of a card would give the library; nothing is kept yet.

    measured  the card, its colours and the overlay
    stage     what had been done to the pieces: bare, cleared or polished
    readings  what would be saved, what is known already, what has no colour
    """

    measured: CardMeasured
    stage: str
    readings: CardReadings

    @property
    def warnings(self) -> tuple[str, ...]:
        """What a reader should know before believing a number, in sentences."""
        more = () if self.kept else (_NOT_KEPT,)
        return (*self.measured.result.notes, *more)

    @property
    def kept(self) -> bool:
        """Whether the picture itself is kept when its readings are: not a very large one, none that names a place."""
        from sprayout_library.sources import LARGEST_SOURCE

        return len(self.measured.picture) <= LARGEST_SOURCE and not self.measured.result.located

    def cells(self) -> Iterator[CellSeen]:
        """Give every window and cell in the frame's order."""
        from sprayout_core.card import WindowKind

        laid = {f"{patch.window}/{patch.label}": (piece, reading) for piece, reading, patch in self.readings.found}
        for patch in self.measured.result.patches:
            cell = f"{patch.window}/{patch.label}"
            piece = self.measured.card.pieces.get(cell)
            if patch.kind is WindowKind.REFERENCE:
                yield CellSeen(cell, "reference", patch)
            elif cell in laid:
                reading = laid[cell][1]
                yield CellSeen(cell, "known" if reading.id in self.readings.known else "fresh", patch, piece, reading)
            elif piece is not None:
                yield CellSeen(cell, "refused", patch, piece)
            else:
                yield CellSeen(cell, "unlaid" if cell in self.readings.unlaid else "empty", patch)


def measure_card(store: Store, name: str, picture: bytes, known: Sequence[KnownColours]) -> CardMeasured:
    """Return what a picture of a card gives; writes nothing.

    name     of the file, for telling people
    picture  PNG, JPEG or TIFF; decoded in a bounded process of its own, so anybody's bytes may be given
    known    the known colours laid in, from `recorded_colours`

    Raises CardRefused (a SprayoutError) where nothing can be measured, with what to do; SprayoutError for a card
    that was not printed at this library, and for known colours that do not go together.
    """
    from sprayout_core.tables import in_memory

    source = in_memory(name, picture)
    card = Cards(store.folder).find(card_in(source))
    reference, geometry = reference_for(card.frame, known)
    return CardMeasured(picture, card, measured_card(source, card.frame, reference), geometry)


def look_at_card(writer: Writer, name: str, picture: bytes, stage: str, known: Sequence[KnownColours]) -> CardSeen:
    """Return what a picture of a card would give the library; nothing is kept: `keep_card` does.

    writer   for whom; only its library is read
    stage    bare, cleared or polished
    name, picture, known   as in `measure_card`, and so what it raises; further SprayoutError where this picture
             was read before with another outcome

        seen = look_at_card(writer, "scan.jpg", content, "bare", recorded_colours())
        seen.measured.overlay, seen.warnings, list(seen.cells())
        taken = keep_card(writer, seen)
    """
    measured = measure_card(writer.store, name, picture, known)
    readings = card_readings(writer, measured.card, measured.result, stage, measured.geometry)
    return CardSeen(measured, stage, readings)


def keep_card(writer: Writer, seen: CardSeen) -> list[str]:
    """Take in what was seen and return the ids of new readings; those that the library has are not taken twice.

    The picture is kept by its digest beside the library (see `CardSeen.kept`), as is everything it gave; then the
    readings are saved in one version. Raises SprayoutError where no piece has a colour, and what `Store.save`
    raises.
    """
    from sprayout_library.sources import Sources

    measured = seen.measured
    writer.store.refresh()
    told = card_readings(writer, measured.card, measured.result, seen.stage, measured.geometry)
    if not told.found:
        raise SprayoutError("no piece on the card has a colour", "Nothing was changed. Take the picture again.")
    fresh = told.fresh
    if fresh:
        if seen.kept:
            Sources(writer.store.folder).keep(measured.picture)
        Cards(writer.store.folder).note(measured.result)
        count = "1 reading" if len(fresh) == 1 else f"{len(fresh)} readings"
        writer.save(fresh, f"Card {measured.identity}: {count} from a picture")
    return [one.id for one in fresh]
