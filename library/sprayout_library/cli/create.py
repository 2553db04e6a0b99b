"""sprayout create: make a new library in a folder."""

from __future__ import annotations

from pathlib import Path

import click

from sprayout_library.cli.desk import Desk, use_library
from sprayout_library.cli.told import say, soft


@click.command("create")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="What the library is called; by default the folder's name.")
@click.option("--shop", help="What your shop is called; it goes with what you record.")
@click.option("--light", default="D65", show_default=True, help="The light colours are compared in.")
@click.option(
    "--observer", type=click.Choice(["2", "10"]), default="10", show_default=True, help="Whose eye: 2 or 10 degrees."
)
@click.pass_obj
def command(desk: Desk, /, folder: Path, name: str | None, shop: str | None, light: str, observer: str) -> None:
    """Make a new library in FOLDER and take it into use.

    The folder is this machine's own copy. Others join through `sprayout sync --to`.
    """
    from datetime import UTC, datetime

    from sprayout_core.light import View
    from sprayout_library.store import Store

    View(light, int(observer))
    title = name or folder.resolve().name
    with Store.create(folder, datetime.now(UTC)) as store:
        writer = desk.writer(store)
        documents = [
            writer.new(
                "library",
                {"title": title, "illuminant": light, "observer": int(observer), "difference": "ciede2000"},
            )
        ]
        if shop:
            facts = {"title": shop, "copies": {store.copy_id: {"name": folder.resolve().name}}}
            documents.append(writer.new("shop", facts))
            store.facts.put("shop", documents[-1].id)
        writer.save(documents, f"Begin {title}")
    called = use_library(folder.resolve(), title)
    say(f"{called}: a new library in {folder}, now in use.")
    soft('Next: sprayout mix "Kelp glass = 5 weak teal : 2 strong teal"')
