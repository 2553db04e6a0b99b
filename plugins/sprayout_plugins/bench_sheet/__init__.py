"""The bench sheet: a mix or recipe printed for the wall, and the same as a card for a phone."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from sprayout_plugins.hooks import answers

if TYPE_CHECKING:
    from sprayout_core.sheet import BenchSheet
    from sprayout_plugins.bench_sheet.card import card_html
    from sprayout_plugins.bench_sheet.pages import Paper
    from sprayout_plugins.bench_sheet.pdf import sheet_pdf

__all__ = ["Paper", "card_html", "print_sheet", "sheet_pdf", "sprayout_contract"]

sprayout_contract = "1.0"


@answers
def print_sheet(sheet: BenchSheet, form: str) -> bytes | None:
    """Return the sheet as PDF on A4 or US letter, or as a card for a phone; None for another form."""
    if form == "card":
        from sprayout_plugins.bench_sheet.card import card_html

        return card_html(sheet).encode("utf-8")
    if form not in ("a4", "letter"):
        return None
    from sprayout_plugins.bench_sheet.pages import Paper
    from sprayout_plugins.bench_sheet.pdf import sheet_pdf

    return sheet_pdf(sheet, Paper.A4 if form == "a4" else Paper.LETTER)


_HELD_BY = {"Paper": "pages", "card_html": "card", "sheet_pdf": "pdf"}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name: finding plugins loads none of what prints."""
    if name not in _HELD_BY:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HELD_BY[name]}"), name)
