"""Which card is in a picture, before its frame is known."""

from __future__ import annotations

from sprayout_core.card import CardRefused, Refusal
from sprayout_plugins.card_scan.decoding import BOUNDS, MARKS, Bounds, Decoding

__all__ = ["identify"]


def identify(picture: bytes, bounds: Bounds = BOUNDS) -> str:
    """Return the identity of the card in a picture; raises CardRefused where there is not exactly one."""
    with Decoding(picture, bounds, MARKS) as decoding:
        texts = {code.text for code in decoding.header.codes}
    told = [text.split(":") for text in texts]
    found = {words[2] for words in told if words[:2] == ["SPRAYOUT-CARD", "1"] and len(words) == 4}
    found |= {words[2] for words in told if words[0] == "SO1" and len(words) == 3}
    if len(found) == 1:
        return found.pop()
    if found:
        raise CardRefused(
            Refusal.OTHER_CARD,
            f"marks of several cards are in the picture: {', '.join(sorted(found))}",
            "Show one card at a time.",
        )
    raise CardRefused(
        Refusal.MARK_MISSING,
        "no mark of a card frame can be read in the picture",
        "Show the whole sheet with all its marks uncovered, sharp and free of glare.",
    )
