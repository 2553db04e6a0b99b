"""sprayout coats: how many coats is this, and what would one more do."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.film.laid_beside import Counted
    from sprayout_library.record import Names
    from sprayout_library.store import Store

_PICTURES = (".jpg", ".jpeg", ".png", ".tif", ".tiff")


@click.command("coats")
@click.argument("piece")
@click.option("--card", metavar="PANEL", help="The step card; by default one of the same mix over the same ground.")
@click.option("--laid", type=click.IntRange(1, 40), help="How many coats you laid; by default as counted on the piece.")
@click.option("--wanted", type=click.IntRange(1, 40), help="Coats of the standard; by default as the recipe has it.")
@click.option("--geometry", help="Only in this geometry; by default in all that both were read in.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk,
    /,
    piece: str,
    card: str | None,
    laid: int | None,
    wanted: int | None,
    geometry: str | None,
    form: str | None,
) -> None:
    """Tell how many coats PIECE comes to: a panel, one step of it (KF-2/5), a picture, or a typed "L* a* b*".

    By a step card of the same mix over the same ground, measured in the same way; where none was sprayed, by what
    all panels taught. A picture must show the piece and its step card in one printed frame (sprayout card print).

    \b
    sprayout coats KF-7
    sprayout coats scan.jpg --laid 3
    sprayout coats "41.2 -20.3 -8.8" --card SC-1
    """
    with desk.store() as store:
        found = _found(desk, store, desk.names(store), piece, card, laid, wanted, geometry)
    if form == "json":
        json_out(found.data())
    else:
        _tell(found)


def _found(
    desk: Desk,
    store: Store,
    names: Names,
    piece: str,
    card: str | None,
    laid: int | None,
    wanted: int | None,
    geometry: str | None,
) -> Counted:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.film.counting import count_coats, typed_coats
    from sprayout_library.film.words import lab_from_words

    lab = lab_from_words(piece)
    if lab is not None:
        if card is None:
            raise SprayoutError(
                "a typed colour says nothing of its mix", "Name the step card it is laid beside: --card SC-1"
            )
        return typed_coats(store, names, (lab[0], lab[1], lab[2]), card, laid, wanted, geometry)
    if Path(piece).suffix.lower() in _PICTURES and not names.matching(piece, "panel"):
        from sprayout_library.cards import recorded_colours
        from sprayout_library.cli.card_table import picture_bytes
        from sprayout_library.film.pictured import count_in_picture

        if card or geometry:
            raise SprayoutError("the card lies in the picture itself", "Leave out --card and --geometry.")
        scan = Path(piece)
        return count_in_picture(store, names, scan.name, picture_bytes(scan), recorded_colours(), laid, wanted)
    return count_coats(store, names, piece, card, laid, wanted, geometry)


def _tell(found: Counted) -> None:
    from sprayout_library.film.reading_of import in_words

    count = found.count
    say(found.lead, bold=True)
    table = []
    if found.alike:
        table.append(("film really there", f"{count.film_low:.1f} to {count.film_high:.1f} coats' worth"))
    if found.laid:
        table.append(("laid", f"{found.laid:g} coats"))
    if found.wanted:
        table.append(("the standard", f"{found.wanted:g} coats"))
    table.append(("by", f"{in_words(found.grade)}, {', '.join(found.geometries)}"))
    rows(table)
    if found.further is not None:
        say(f"  {found.further.words[0].upper()}{found.further.words[1:]}.")
        if found.further.best:
            soft("  Spray it on a test piece first; let it dry before you look.")
    elif not found.notes and not (found.laid and found.wanted):
        missing = [word for word, known in (("--laid", found.laid), ("--wanted", found.wanted)) if not known]
        soft(f"  Give {' and '.join(missing)} to hear what one more coat would do.")
    for note in found.notes:
        say(f"  {note}", fg="yellow")
