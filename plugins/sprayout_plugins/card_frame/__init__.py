"""The card frame as a page that prints true to size."""

from sprayout_plugins.card_frame.marks import mark_modules
from sprayout_plugins.card_frame.page import frame_pdf

__all__ = ["frame_pdf", "mark_modules"]
