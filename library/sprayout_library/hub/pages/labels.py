"""Labels of cups and panels: one to look at and print from the page, or a sheet of them as a file."""

from __future__ import annotations

from typing import Any

from sprayout_core.documents import Batch, Panel
from sprayout_core.errors import SprayoutError
from sprayout_core.sheet import LabelText
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

__all__ = ["label", "printed"]

#: One label a page, mm; and two papers of twelve, as label sheets are sold.
_SINGLE = {"paper_width": "62", "paper_height": "50", "columns": "1", "rows": "1", "width": "62", "height": "50"}
_SHEET = {
    "columns": "2", "rows": "6", "width": "90", "height": "40", "left": "10", "top": "12", "gap_across": "4",
    "gap_down": "4",
}  # fmt: skip
_PAPERS = {"a4": ("210", "297"), "letter": ("215.9", "279.4")}


def label(visit: Visit) -> Reply:
    """Show the label of a cup or a panel as it is printed."""
    text = _text(visit)
    shown: dict[str, Any] = {"text": text, "id": visit.asked.parts["id"], **_square(text)}
    return Reply("label.html", shown)


def _text(visit: Visit) -> LabelText:
    from sprayout_core.sheet import cup_label, panel_label
    from sprayout_library.record.cups import Shelf
    from sprayout_library.today.sheets import library_id

    document = visit.document(visit.asked.parts["id"])
    if isinstance(document, Batch):
        shelf = Shelf(visit.store)
        left = ""
        if document.id in shelf.batches:
            left = f"{visit.amount(shelf.left(document.id), shelf.unit(document.id))} in it"
        return cup_label(document, library_id(visit.store), visit.store.find, left)
    if isinstance(document, Panel):
        return panel_label(document, library_id(visit.store), visit.store.find)
    raise NotThere("labels are for cups and panels", "Choose one of these.")


def _square(text: LabelText) -> dict[str, Any]:
    """Return the label's square as the side of its grid and one path of its dark runs."""
    from sprayout_plugins.printing import dark_runs

    side, runs = dark_runs(text.code)
    return {"side": side, "path": "".join(f"M{x} {y}h{length}v1h-{length}z" for x, y, length in runs)}


def printed(visit: Visit) -> Reply:
    """Give the label as a file to print: alone, or at a free place of a sheet."""
    from sprayout_library.today.printing import print_labels

    text, sheet = _text(visit), visit.asked.said("sheet")
    if not sheet:
        grid = _SINGLE
    elif sheet in _PAPERS:
        used = visit.asked.said("used", "0")
        if not used.isdecimal() or int(used) > 11:
            raise SprayoutError(f"{used[:20]!r} places are gone?", "Give 0 to 11: a sheet has twelve.")
        width, height = _PAPERS[sheet]
        grid = {**_SHEET, "paper_width": width, "paper_height": height, "used": used}
    else:
        raise SprayoutError("which paper?", f"One of: {', '.join(_PAPERS)}.")
    name = "".join(sign for sign in (text.mark or text.title) if sign.isascii() and (sign.isalnum() or sign in "-_"))
    return Reply(content=print_labels([text], grid), media="application/pdf", save_as=f"label-{name[:40] or 'one'}.pdf")
