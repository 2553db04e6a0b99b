"""sprayout depth: what more dye against pearl buys in depth and costs in coverage."""

from __future__ import annotations

from pathlib import Path

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, say, soft
from sprayout_library.film.depths import RATIOS


@click.command("depth")
@click.argument("dye")
@click.argument("pearl")
@click.option("--ratios", default=RATIOS, show_default=True, help="Parts of DYE to parts of PEARL.")
@click.option("--coats", default="1 to 8", show_default=True, help="Counts of coats.")
@click.option("--over", multiple=True, metavar="GROUND", help="A white and a black; else the contrast card's fields.")
@click.option("--geometry", help="In which geometry; by default the one most panels were read in.")
@click.option("--light", help="Another light than the library's.")
@click.option("--picture", type=click.Path(path_type=Path), help="Draw the chart into this SVG file.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, dye: str, pearl: str, ratios: str, coats: str, over: tuple[str, ...], geometry: str | None,
    light: str | None, picture: Path | None, form: str | None,
) -> None:  # fmt: skip
    """Set the depth of a mix of DYE and PEARL against how far it covers, coat by coat.

    The pearl must have been sprayed and read over white and black: on one ground dye and haze look alike.

    \b
    sprayout depth violet "moon pearl" --picture depth.svg
    """
    from sprayout_library.film.depths import depth, draw_depth

    with desk.store() as store:
        found = depth(store, desk.names(store), dye, pearl, ratios, coats, over, geometry, light)
    if picture:
        from sprayout_library.cli.drawn import put, put_silently

        (put_silently if form else put)(picture, draw_depth(found))
    if form == "json":
        json_out(found.data())
        return
    say(f"{found.dye} to {found.pearl} over {found.white} and {found.black}, {found.geometry}, {found.view}", bold=True)
    for line in found.words:
        say(f"  {line}")
    for note in found.notes:
        soft(f"  {note}")
