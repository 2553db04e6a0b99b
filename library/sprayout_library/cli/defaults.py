"""sprayout defaults: the light, observer and difference formula that a library compares with."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import rows, say

FORMULAS = ("ciede2000", "cie76", "cie94-graphic-arts", "cie94-textiles", "cmc", "din99")


@click.command("defaults")
@click.option("--light", help="A tabulated illuminant: D65, D50, A ...")
@click.option("--observer", type=click.Choice(["2", "10"]), help="Whose eye: 2 or 10 degrees.")
@click.option("--difference", type=click.Choice(FORMULAS), help="How a difference is counted.")
@click.pass_obj
def command(desk: Desk, /, light: str | None, observer: str | None, difference: str | None) -> None:
    """Tell, or change for everybody, what this library compares with. Each command can still name another."""
    from sprayout_core.compare import Put, tell
    from sprayout_core.errors import SprayoutError
    from sprayout_core.light import View

    with desk.store() as store:
        held = desk.manifest(store)
        if held is None:
            raise SprayoutError(
                "nobody said yet what this library compares with", "Sync it, or make a new one: sprayout create FOLDER"
            )
        if light:
            View(light, int(observer or held.observer or 10))
        given = {"illuminant": light, "observer": int(observer) if observer else None, "difference": difference}
        changes = [Put(name, value) for name, value in given.items() if value is not None]
        if not changes:
            rows(
                [
                    ("light", held.illuminant or "two answers"),
                    ("observer", f"{held.observer or 'two answers'}"),
                    ("difference", held.difference or "two answers"),
                ]
            )
            return
        writer = desk.writer(store)
        document = writer.edited(held, changes)
        if document is held:
            say("It stands so already.")
            return
        writer.save([document], "Defaults")
        for line in tell(held, document, desk.names(store).label):
            say(line.text)
