"""The card frame as a page that prints true to size."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from sprayout_plugins.hooks import answers

if TYPE_CHECKING:
    from sprayout_core.card import Frame
    from sprayout_plugins.card_frame.marks import mark_modules
    from sprayout_plugins.card_frame.page import frame_pdf

__all__ = ["frame_pdf", "mark_modules", "print_card", "sprayout_contract"]

sprayout_contract = "1.0"


@answers
def print_card(frame: Frame) -> bytes | None:
    """Return the frame as PDF; see `frame_pdf`."""
    from sprayout_plugins.card_frame.page import frame_pdf

    return frame_pdf(frame)


_HELD_BY = {"frame_pdf": "page", "mark_modules": "marks"}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name: finding plugins loads none of what prints."""
    if name not in _HELD_BY:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HELD_BY[name]}"), name)
