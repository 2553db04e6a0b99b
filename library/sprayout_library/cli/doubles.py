"""sprayout doubles: what stands twice in the library."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, say, soft

if TYPE_CHECKING:
    from sprayout_library.index import Double, Index


@click.command("doubles")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, form: str | None) -> None:
    """Tell what stands twice: one composition under two titles, one row of a source taken in twice."""
    from sprayout_library.index import asking, doubles

    with desk.store() as store:

        def answer(index: Index) -> list[tuple[Double, list[str]]]:
            found = []
            for one in doubles(index, store):
                names = [held.name if (held := index.get(name)) else f"reading …{name[-6:]}" for name in one.ids]
                found.append((one, names))
            return found

        told = asking(store, answer)
    if form == "json":
        json_out([{"why": one.why, "ids": list(one.ids), "names": names} for one, names in told])
        return
    for one, names in told:
        say(f"{', '.join(names)}: {one.why}")
    if not told:
        say("Nothing stands twice.")
    else:
        soft("Take one out of use: sprayout withdraw NAME")
