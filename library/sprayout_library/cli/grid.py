"""sprayout grid: what a mix would look like over several grounds, coat by coat, before anything is sprayed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sprayout_library.film.ladders import Worth
    from sprayout_library.film.looks import Look

#: Below this share of +-, what panels can still teach is little.
_LITTLE = 0.5


@click.command("grid")
@click.argument("mix")
@click.option("--over", multiple=True, metavar="GROUND", help="A ground; by default every one that has a reading.")
@click.option("--coats", default="1,2,3,4,5,6", show_default=True, help="Counts of coats.")
@click.option("--geometry", help="In which geometry; by default the one most panels were read in.")
@click.option("--light", help="Another light than the library's.")
@click.option("--next", "more", flag_value="next", help="Also which two panels would be worth spraying next.")
@click.option("--picture", type=click.Path(path_type=Path), help="Draw it into this SVG file.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, mix: str, over: tuple[str, ...], more: str | None, picture: Path | None, form: str | None, **how: Any
) -> None:
    """Predict MIX, a name or a line such as "3 weak teal : 1 strong teal", over grounds and coats.

    Each cell tells its colour and, after +-, the dE00 that holds a sprayed panel 95 times in 100. A cell that
    rests on nothing is hatched, with the panel to spray. A star marks what a screen cannot show.
    """
    from sprayout_library.film.ladders import worth_spraying_next
    from sprayout_library.film.looks import look

    with desk.store() as store:
        names = desk.names(store)
        found = look(store, names, mix, over, how["coats"], how["geometry"], how["light"])
        next_ones = worth_spraying_next(store, names, mix, over, how["coats"], how["geometry"]) if more else ()
    if picture:
        from sprayout_library.cli.drawn import put, put_silently
        from sprayout_library.film.drawing import draw_look

        (put_silently if form else put)(picture, draw_look(found))
    if form == "json":
        json_out(found.data() | ({"next": [one.data() for one in next_ones]} if more else {}))
        return
    _tell(found)
    if more:
        _tell_next(next_ones)


def _tell(found: Look) -> None:
    from sprayout_library.film.telling import shade_row, to_spray

    say(f"{found.name}, predicted at {found.geometry}, {found.view}", bold=True)
    for row in found.rows:
        heading(row[0].ground)
        rows(shade_row(one) for one in row)
    say()
    for reason in to_spray(one for row in found.rows for one in row):
        say(f"  ////  {reason}", fg="yellow")
    for note in (*found.notes, f"how far to trust it: {found.trust}" if found.trust else "", *found.suspects):
        if note:
            soft(f"  {note}")


def _tell_next(found: Iterable[Worth]) -> None:
    heading("Worth spraying next")
    told = list(found)
    for place, one in enumerate(told, 1):
        say(f"  {place}. {one.panel}")
        say(f"     {one.reason}")
    if told and all(one.taught is not None and one.taught < _LITTLE for one in told):
        say("  Little is left to learn here: most of +- is how evenly coats go on.")
    if not told:
        say("  Nothing: no panel of these would narrow this grid.")
