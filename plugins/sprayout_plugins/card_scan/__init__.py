"""Reading a scanned or photographed card: straightened, evened out, corrected, or refused."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from sprayout_plugins.hooks import answers

if TYPE_CHECKING:
    from sprayout_core.card import CardResult, Frame, Reference
    from sprayout_core.tables import Source
    from sprayout_plugins.card_scan.decoding import BOUNDS, Bounds
    from sprayout_plugins.card_scan.identity import identify
    from sprayout_plugins.card_scan.reading import measure

__all__ = ["BOUNDS", "Bounds", "identify", "identify_card", "measure", "read_card", "sprayout_contract"]

sprayout_contract = "1.0"


@answers
def identify_card(source: Source) -> str | None:
    """Return the identity of the card frame in a picture; see `identify`."""
    from sprayout_plugins.card_scan.identity import identify

    return identify(_content(source))


@answers
def read_card(source: Source, frame: Frame, reference: Reference) -> CardResult | None:
    """Return every patch of the card in a picture; see `measure`."""
    from sprayout_plugins.card_scan.reading import measure

    return measure(_content(source), frame, reference)


def _content(source: Source) -> bytes:
    from sprayout_plugins.card_scan.decoding import BOUNDS

    # one byte past the bound, so that a file that is too large is refused without being read whole
    with source.open() as stream:
        return stream.read(BOUNDS.file + 1)


_HELD_BY = {"BOUNDS": "decoding", "Bounds": "decoding", "identify": "identity", "measure": "reading"}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name: finding plugins loads none of what reads pictures."""
    if name not in _HELD_BY:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HELD_BY[name]}"), name)
