"""sprayout ladder: ratios of two mixes side by side, before anything is sprayed."""

from __future__ import annotations

from pathlib import Path

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft
from sprayout_library.film.ladders import RATIOS


@click.command("ladder")
@click.argument("first")
@click.argument("second")
@click.option("--over", metavar="GROUND", required=True, help="Over which ground.")
@click.option("--coats", default="3", show_default=True, help="Counts of coats: 3, or 2,4 or 1 to 4.")
@click.option("--ratios", default=RATIOS, show_default=True, help="Parts of FIRST to parts of SECOND.")
@click.option("--geometry", help="In which geometry; by default the one most panels were read in.")
@click.option("--light", help="Another light than the library's.")
@click.option("--picture", type=click.Path(path_type=Path), help="Draw it into this SVG file.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, first: str, second: str, over: str, coats: str, ratios: str, geometry: str | None,
    light: str | None, picture: Path | None, form: str | None,
) -> None:  # fmt: skip
    """Predict ratios of FIRST to SECOND side by side: 0:1 is SECOND alone.

    Each is a mix by its name, a line such as "1 weak teal : 9 clear carrier", or a dye neat.

    \b
    sprayout ladder "1 weak teal : 9 clear carrier" "1 strong teal : 9 clear carrier" --over bronze
    """
    from sprayout_library.film.ladders import ladder
    from sprayout_library.film.telling import shade_row, to_spray

    with desk.store() as store:
        found = ladder(store, desk.names(store), first, second, over, coats, ratios, geometry, light)
        if picture:
            from sprayout_library.cli.drawn import put, put_silently
            from sprayout_library.film.drawing import draw_ladder

            (put_silently if form else put)(picture, draw_ladder(found))
        if form == "json":
            json_out(found.data())
            return
        say(f"{found.first} to {found.second} over {found.ground}, {found.geometry}, {found.view}", bold=True)
        for rung in found.rungs:
            heading(rung.ratio + (f"  {rung.step}" if rung.step else ""))
            rows(shade_row(one) for one in rung.shades)
        say()
        for reason in to_spray(one for rung in found.rungs for one in rung.shades):
            say(f"  ////  {reason}", fg="yellow")
        for note in (*found.notes, f"how far to trust it: {found.trust}" if found.trust else ""):
            if note:
                soft(f"  {note}")
