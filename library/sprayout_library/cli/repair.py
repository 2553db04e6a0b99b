"""sprayout repair: what a spot repair will show, before it is sprayed; never a promise."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.film.repairing import Repair


@click.command("repair")
@click.argument("what")
@click.option("--over", multiple=True, metavar="GROUND", help="Over which ground; by default the recipe's own.")
@click.option("--coats", type=click.IntRange(1, 30), help="Of the whole colour; by default as the recipe writes it.")
@click.option("--geometry", help="Only in this geometry; by default in all that panels and ground were read in.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, what: str, over: tuple[str, ...], coats: int | None, geometry: str | None, form: str | None
) -> None:
    """Look at a spot repair of WHAT, a recipe or a mix: its colour at half build, and what a blend will show.

    A transparent colour is its film: where a blend fades out it is lighter over fresh ground and darker over the
    old coats. A prediction, never a promise: spray a test blend first.
    """
    from sprayout_library.film.repairing import repair

    with desk.store() as store:
        found = repair(store, desk.names(store), what, over, coats, geometry)
    if form == "json":
        json_out(found.data())
    else:
        _tell(found)


def _tell(found: Repair) -> None:
    say(f"A blend of {found.name}, predicted at {', '.join(found.geometries)}, {found.view}", bold=True)
    for one in found.blends:
        heading(f"over {one.ground}, {one.coats:g} coats")
        lab = next(iter(one.half.values()))
        told = "  ".join(f"{name} {value:.1f}" for name, value in zip(("L*", "a*", "b*"), lab, strict=True))
        rows(
            [
                ("at half build", f"{one.said}  {one.colour}  {told}"),
                ("the edge over fresh ground", f"{one.fresh:.1f} off"),
                ("half a build over the old", f"{one.overlap:.1f} off"),
                ("a whole build over the old", f"{one.double:.1f} off"),
            ]
        )
        say(f"  {one.risk[0].upper()}{one.risk[1:]}.")
    say()
    say("  A prediction, never a promise: spray a test blend first.")
    for note in found.notes:
        soft(f"  {note}")
    for line in found.cautions:
        say(f"  {line}", fg="yellow")
