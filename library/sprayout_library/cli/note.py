"""sprayout note: a remark on anything."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say


@click.command("note")
@click.argument("name")
@click.argument("words")
@click.pass_obj
def command(desk: Desk, /, name: str, words: str) -> None:
    """Add a remark to NAME. It never changes what was sprayed."""
    from sprayout_core.compare import Add
    from sprayout_library.record import now_text

    with desk.store() as store:
        writer = desk.writer(store)
        held = desk.document(store, name)
        note = {"text": words, "by": writer.by, "at": now_text(writer.clock())}
        writer.save([writer.edited(held, [Add("notes", note)])], f"Note on {held.name}")
        say(f"{held.name}: noted.")
