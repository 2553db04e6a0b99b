"""sprayout sheet: a mix or recipe on paper, on a phone, or told in one breath."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.bench_words import amount_in, named
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Formula, Recipe
    from sprayout_core.mix import Amount
    from sprayout_library.store import Store


@click.command("sheet")
@click.argument("name")
@click.option("--form", type=click.Choice(["a4", "letter", "card"]), default="a4", show_default=True)
@click.option(
    "--amount", multiple=True, metavar="AMOUNT", help='With a pour list: 120g, or "MIX=120g" for a recipe; repeat it.'
)
@click.option("--in", "tool", metavar="TOOL", help="The list for this cup or scale of yours.")
@click.option("--piece", multiple=True, metavar="NAME", help="A row of boxes for each piece; repeat it.")
@click.option(
    "--to", "--out", "out", type=click.Path(path_type=Path), help="The file; by default the name with its ending."
)
@click.option("--say", "aloud", flag_value="say", help="Tell it in one breath instead of printing it.")
@click.pass_obj
def command(
    desk: Desk, /, name: str, form: str, amount: tuple[str, ...], tool: str | None, piece: tuple[str, ...],
    out: Path | None, aloud: str | None,
) -> None:  # fmt: skip
    """Print the mix or recipe NAME as it stands: PDF for the wall (a4, letter), or a card for a phone."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.sheet import told
    from sprayout_library.today.jobs import jobs_for
    from sprayout_library.today.printing import FORMS, print_sheet
    from sprayout_library.today.sheets import sheet_of
    from sprayout_library.today.tools import tools

    with desk.store() as store:
        document: Formula | Recipe = desk.document(store, name, "recipe", "formula")  # type: ignore[assignment]
        if tool and not amount:
            raise SprayoutError("how much is poured with it?", "Give --amount 120g.")
        using = tools().pours_with(tool) if tool else None
        asked = [_asked(desk, store, document, words) for words in amount]
        jobs = jobs_for(asked, store.find, using) if asked else {}
        sheet = sheet_of(document, store, desk.names(store), datetime.now().astimezone(), jobs, piece)
    if aloud:
        say(told(sheet))
        return
    target = out or Path(f"{_file_name(document.name)}.{FORMS[form]}")
    write_file(target, print_sheet(sheet, form))
    say(f"{target}: {document.name}, {'a card for a phone' if form == 'card' else form}.")
    if not asked:
        soft("With amounts to pour: --amount 120g --in YOUR-SCALE")


def _asked(desk: Desk, store: Store, document: Formula | Recipe, words: str) -> tuple[Formula, Amount, str]:
    from sprayout_core.documents import Formula
    from sprayout_core.errors import SprayoutError

    if "=" in words:
        name, text = named(words, "how much of which mix")
        formula = desk.document(store, name, "formula")
    elif isinstance(document, Formula):
        formula, text = document, words
    else:
        raise SprayoutError("how much of which mix?", f'Write --amount "MIX={words}" for a recipe.')
    assert isinstance(formula, Formula)
    return formula, amount_in(text), "this sheet"


def _file_name(name: str) -> str:
    kept = "".join(one if one.isalnum() or one in "-_ " else "-" for one in name).strip()
    return "-".join(kept.split()).lower()[:60] or "sheet"


def write_file(target: Path, content: bytes) -> None:
    """Write a file whole, or tell why not."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.machine import write_whole

    if not target.parent.is_dir():
        raise SprayoutError(f"there is no folder {target.parent}", "Make it first, or give --out another place.")
    if target.is_dir():
        raise SprayoutError(f"{target} is a folder", "Give --out a file's name.")
    try:
        write_whole(target, content)
    except OSError as error:
        raise SprayoutError(f"{target} cannot be written: {error.strerror}", "Give --out another place.") from None
