"""sprayout withdraw: take something out of use, or bring it back."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft


@click.command("withdraw")
@click.argument("name")
@click.option("--bring-back", "way", flag_value="back", help="Bring it back into use.")
@click.pass_obj
def command(desk: Desk, /, name: str, way: str | None) -> None:
    """Take NAME out of use. Nothing is deleted; panels and history stay."""
    from sprayout_core.compare import TakeAway, withdraw
    from sprayout_library.record import now_text

    with desk.store() as store:
        writer = desk.writer(store)
        held = desk.document(store, name)
        if way == "back":
            document = writer.edited(held, [TakeAway("withdrawn")])
        elif held.withdrawn is not None:
            document = held
        else:
            document = withdraw(held, store.copy_id, now_text(writer.clock()))
        if document is held:
            say(f"{held.name}: it is so already.")
            return
        told = "brought back" if way == "back" else "withdrawn"
        writer.save([document], f"{held.name} {told}")
        say(f"{held.name}: {told}.")
        if way != "back":
            soft(f'To undo: sprayout withdraw "{held.name}" --bring-back')
