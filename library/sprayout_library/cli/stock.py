"""sprayout stock: the stock wall, each dye neat over the baseline grounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.index import Index, Place


@click.command("stock")
@click.option(
    "--over", multiple=True, metavar="GROUND", help='A ground of the wall; else those tagged "baseline ground".'
)
@click.option("--missing", "which", flag_value="missing", help="Only the panels that do not exist yet.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, over: tuple[str, ...], which: str | None, form: str | None) -> None:
    """Tell which panels of the stock wall exist: every dye neat over each of the shop's baseline grounds."""
    from sprayout_library.index import asking, baseline_grounds, stock_wall

    with desk.store() as store:

        def answer(index: Index) -> list[Place]:
            return stock_wall(index, store.content, baseline_grounds(index, over))

        wall = asking(store, answer)
    shown = [place for place in wall if not (which and place.panels)]
    if form == "json":
        json_out([{"dye": one.dye.name, "ground": one.ground.name, "panels": [panel.name for panel in one.panels],
                   "measured": [panel.name for panel in one.measured]} for one in shown])  # fmt: skip
        return
    if not wall:
        say("No dye yet.")
        soft("Record one: sprayout material NAME --role dye")
        return
    rows([(one.dye.name, f"over {one.ground.name}", _there(one)) for one in shown])
    missing = [place for place in wall if not place.panels]
    say(f"{len(wall) - len(missing)} of {counted(len(wall), 'panel')} on the wall.")
    if missing:
        first = missing[0]
        if first.mixes:
            soft(f"Next: a recipe of {first.mixes[0].name!r} over {first.ground.name!r}, then sprayout panel")
        else:
            soft(f'Next: sprayout mix "{first.dye.name} neat = 1 {first.dye.name}"')


def _there(place: Place) -> str:
    if not place.panels:
        return "not sprayed yet"
    return ", ".join(panel.name + ("" if panel.readings else " (no reading)") for panel in place.panels)
