"""The card frame as a page that prints true to size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_plugins.card_frame.marks import mark_modules
from sprayout_plugins.card_frame.page import frame_pdf
from sprayout_plugins.hooks import answers

if TYPE_CHECKING:
    from sprayout_core.card import Frame

__all__ = ["frame_pdf", "mark_modules", "print_card", "sprayout_contract"]

sprayout_contract = "1.0"


@answers
def print_card(frame: Frame) -> bytes | None:
    """Return the frame as PDF; see `frame_pdf`."""
    return frame_pdf(frame)
