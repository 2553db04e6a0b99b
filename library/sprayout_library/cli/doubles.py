"""sprayout doubles: what stands twice in the library."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, say, soft

if TYPE_CHECKING:
    from sprayout_library.index import Double, Index
    from sprayout_library.store import Store


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
                found.append((one, [_called(index, store, name) for name in one.ids]))
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


def _called(index: Index, store: Store, identity: str) -> str:
    """Return what a document is called; a reading by its panel, since it has no name of its own."""
    held = index.get(identity)
    if held is not None and held.kind != "reading":
        return held.name
    import msgspec

    content = store.content(identity)
    panel = index.get(str(msgspec.json.decode(content).get("panel", ""))) if content else None
    return f"reading …{identity[-6:]}" + (f" of {panel.name}" if panel else "")
