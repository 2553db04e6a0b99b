"""sprayout note: a remark on anything."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say

if TYPE_CHECKING:
    from sprayout_library.store import Store


@click.command("note")
@click.argument("name")
@click.argument("words")
@click.pass_obj
def command(desk: Desk, /, name: str, words: str) -> None:
    """Add a remark to NAME. It never changes what was sprayed."""
    from sprayout_core.compare import Add
    from sprayout_library.record import now_text

    def noted(store: Store) -> str:
        writer = desk.writer(store)
        held = desk.document(store, name)
        note = {"text": words, "by": writer.by, "at": now_text(writer.clock())}
        writer.save([writer.edited(held, [Add("notes", note)])], f"Note on {held.name}")
        return f"{held.name}: noted."

    say(desk.again(noted))
