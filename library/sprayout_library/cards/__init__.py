"""Cards of a shop: which frame was printed for which pieces, the known colours, and readings from a scan."""

from sprayout_library.cards.asking import card_in, measured_card, printed_card
from sprayout_library.cards.laying import laid_out
from sprayout_library.cards.printed import Cards, PrintedCard
from sprayout_library.cards.reading import CardReadings, card_readings
from sprayout_library.cards.seen import CardMeasured, CardSeen, CellSeen, keep_card, look_at_card, measure_card
from sprayout_library.cards.steps import coats_in
from sprayout_library.cards.targets import (
    KnownColours,
    known_colours,
    known_from_rows,
    recorded_colours,
    reference_for,
)

__all__ = [
    "CardMeasured",
    "CardReadings",
    "CardSeen",
    "Cards",
    "CellSeen",
    "KnownColours",
    "PrintedCard",
    "card_in",
    "card_readings",
    "coats_in",
    "keep_card",
    "known_colours",
    "known_from_rows",
    "laid_out",
    "look_at_card",
    "measure_card",
    "measured_card",
    "printed_card",
    "recorded_colours",
    "reference_for",
]
