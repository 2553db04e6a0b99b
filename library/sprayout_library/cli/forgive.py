"""sprayout forgive: how much one coat more or less, or a heavier hand, shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.film.forgiving import Forgiving


@click.command("forgive")
@click.argument("mix")
@click.option("--over", multiple=True, metavar="GROUND", help="A ground; by default every one that has a reading.")
@click.option("--coats", default="2,3,4,5,6", show_default=True, help="Counts of coats.")
@click.option("--geometry", help="Only in this geometry; by default in all that panels and grounds were read in.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, mix: str, over: tuple[str, ...], coats: str, geometry: str | None, form: str | None) -> None:
    """Tell how forgiving MIX is: what one coat more or less, and 10 % film either way, moves it (dE00).

    Forgiving is under 0.5 for the heavier hand, touchy from 1, very touchy from 2: these limits are our own.
    """
    from sprayout_library.film.forgiving import forgiving

    with desk.store() as store:
        found = forgiving(store, desk.names(store), mix, over, coats, geometry)
    if form == "json":
        json_out(found.data())
    else:
        _tell(found)


def _tell(found: Forgiving) -> None:
    say(f"{found.name}, {', '.join(found.geometries)}, dE00", bold=True)
    for row in found.rows:
        heading(f"over {row[0].ground}")
        rows(
            [
                ("coats", "one more", "one less", "10 % heavier", "10 % lighter", ""),
                *(
                    (
                        f"{one.coats:g}",
                        f"{one.one_more:.1f}",
                        "" if one.one_less is None else f"{one.one_less:.1f}",
                        f"{one.heavy:.1f}",
                        f"{one.light:.1f}",
                        one.words.partition(";")[0],
                    )
                    for one in row
                ),
            ]
        )
    say()
    for said in found.beside:
        say(f"  {said[0].upper()}{said[1:]}.")
    for note in found.notes:
        soft(f"  {note}")
