"""The bench sheet: a mix or recipe printed for the wall, and the same as a card for a phone."""

from sprayout_plugins.bench_sheet.card import card_html
from sprayout_plugins.bench_sheet.pages import Paper
from sprayout_plugins.bench_sheet.pdf import sheet_pdf

__all__ = ["Paper", "card_html", "sheet_pdf"]
