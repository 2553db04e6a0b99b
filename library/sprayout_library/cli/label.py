"""sprayout label: labels for cups and panels, on a sheet of labels or one by one."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, say

if TYPE_CHECKING:
    from sprayout_core.sheet import LabelText
    from sprayout_library.record import Names
    from sprayout_library.record.cups import Shelf
    from sprayout_library.store import Store

#: Papers that sheets of labels come on, in mm.
_PAPERS = {"a4": ("210", "297"), "letter": ("215.9", "279.4")}


@click.command("label")
@click.argument("codes", nargs=-1, required=True)
@click.option("--single", metavar="WxH", help="One label a page, such as 62x36 (mm).")
@click.option("--sheet", type=click.Choice(list(_PAPERS)), help="A sheet of labels.")
@click.option("--grid", metavar="CxR", default="2x6", show_default=True, help="Columns and rows on the sheet.")
@click.option("--size", metavar="WxH", default="90x42", show_default=True, help="One label on the sheet, in mm.")
@click.option(
    "--margin", metavar="LxT", default="10x12", show_default=True, help="Left and top of the first one, in mm."
)
@click.option("--gap", metavar="AxD", default="4x4", show_default=True, help="Gaps across and down, in mm.")
@click.option("--used", type=click.IntRange(0, 500), default=0, help="How many places of the sheet are gone already.")
@click.option("--to", "--out", "out", type=click.Path(path_type=Path), default=Path("labels.pdf"), show_default=True)
@click.pass_obj
def command(desk: Desk, /, codes: tuple[str, ...], out: Path, **how: str | int | None) -> None:
    """Print a label for each cup or panel of CODES: its square, its code, short facts; for a cup its cautions."""
    from sprayout_library.cli.sheet import write_file
    from sprayout_library.record.cups import Shelf
    from sprayout_library.today.printing import print_labels

    grid = _grid(how)
    with desk.store() as store:
        names = desk.names(store)
        shelf = Shelf(store)
        labels = [_label(code, store, names, shelf) for code in codes]
    write_file(out, print_labels(labels, grid))
    say(f"{out}: {counted(len(labels), 'label')}.")


def _label(code: str, store: Store, names: Names, shelf: Shelf) -> LabelText:
    from sprayout_core.documents import Batch, Panel
    from sprayout_core.sheet import cup_label, panel_label
    from sprayout_library.cli.bench_words import rounded
    from sprayout_library.today.sheets import library_id

    document = store.get(names.find(code, "batch", "panel").id)
    if isinstance(document, Batch):
        left = ""
        if document.id in shelf.batches:
            left = f"{rounded(shelf.left(document.id))} {shelf.unit(document.id)} in it"
        return cup_label(document, library_id(store), store.find, left)
    assert isinstance(document, Panel)
    return panel_label(document, library_id(store), store.find)


def _two(text: object, what: str) -> tuple[str, str]:
    from sprayout_core.errors import SprayoutError

    match = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,3})?)\s*[xX×]\s*(\d{1,4}(?:\.\d{1,3})?)\s*", str(text), re.ASCII)
    if not match:
        raise SprayoutError(f"{text!r} is no {what}", "Write two numbers with an x between, such as 62x36.")
    return match[1], match[2]


def _grid(how: dict[str, str | int | None]) -> dict[str, str]:
    from sprayout_core.errors import SprayoutError

    if how["single"] and how["sheet"]:
        raise SprayoutError("single labels or a sheet of them?", "Give one of --single and --sheet.")
    if not how["sheet"]:
        width, height = _two(how["single"] or "62x50", "size of a label")
        return {"paper_width": width, "paper_height": height, "columns": "1", "rows": "1", "width": width,
                "height": height}  # fmt: skip
    paper = _PAPERS[str(how["sheet"])]
    columns, rows = _two(how["grid"], "grid")
    width, height = _two(how["size"], "size of a label")
    left, top = _two(how["margin"], "margin")
    across, down = _two(how["gap"], "gap")
    return {
        "paper_width": paper[0], "paper_height": paper[1], "columns": columns, "rows": rows, "width": width,
        "height": height, "left": left, "top": top, "gap_across": across, "gap_down": down, "used": str(how["used"]),
    }  # fmt: skip
