"""sprayout join: a copy of a library that others share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk, use_library
from sprayout_library.cli.told import PartlyDone, say, soft

if TYPE_CHECKING:
    from sprayout_library.record.names import Entry


@click.command("join")
@click.argument("address")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="What the library is called here; by default as it calls itself.")
@click.option("--shop", help="What your shop is called; it goes with what you record.")
@click.pass_obj
def command(desk: Desk, /, address: str, folder: Path, name: str | None, shop: str | None) -> None:
    """Join the library shared at ADDRESS: makes your copy in FOLDER and takes it into use.

    ADDRESS may also be a stick file (sprayout stick write).
    """
    from datetime import UTC, datetime

    from sprayout_library.cli.sync import tell_report
    from sprayout_library.record.shops import shop_changes
    from sprayout_library.sync import clone, clone_from_stick, remotes, sync

    now = datetime.now(UTC)
    stick = Path(address).expanduser()
    carried = stick.is_file()
    store, report = clone_from_stick(folder, stick, now) if carried else clone(folder, address, now)
    with store:
        manifest = desk.manifest(store)
        title = name or (manifest.name if manifest else folder.resolve().name)
        called = use_library(folder.resolve(), title)
        say(f"{called}: your copy is in {folder}, now in use.")
        tell_report(stick.name if carried else "hub", report, desk.names(store), store)
        known: list[Entry] = []
        if shop:
            known = [one for one in desk.names(store).matching(shop, "shop") if not one.withdrawn]
            shop_changes(desk.writer(store), desk.names(store), shop, folder.resolve().name)
            for remote in remotes(store).values():
                sync(store, remote, now)
        desk.renamed()
        if known:
            say(f"There was a shop called {known[0].name} already: this is one more copy of it.", fg="yellow")
            soft('  Another shop than that one? Say so now: sprayout shop --new "A name of your own"')
        if report.refused:
            raise PartlyDone("not everything was let in", "Ask the shop that made it to mend it.")
    if carried:
        soft("Shared through nothing yet: sprayout sync --to ADDRESS, or carry a stick back: sprayout stick write FILE")
    soft("Next: sprayout list")
