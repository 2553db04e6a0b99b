"""The bench sheet: a mix or recipe printed for the wall, and the same as a card for a phone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_plugins.bench_sheet.card import card_html
from sprayout_plugins.bench_sheet.pages import Paper
from sprayout_plugins.bench_sheet.pdf import sheet_pdf
from sprayout_plugins.hooks import answers

if TYPE_CHECKING:
    from sprayout_core.sheet import BenchSheet

__all__ = ["Paper", "card_html", "print_sheet", "sheet_pdf", "sprayout_contract"]

sprayout_contract = "1.0"

_PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}


@answers
def print_sheet(sheet: BenchSheet, form: str) -> bytes | None:
    """Return the sheet as PDF on A4 or US letter, or as a card for a phone; None for another form."""
    if form == "card":
        return card_html(sheet).encode("utf-8")
    paper = _PAPERS.get(form)
    return None if paper is None else sheet_pdf(sheet, paper)
