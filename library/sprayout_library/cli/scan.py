"""sprayout scan: what the square on a sheet or label leads to."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, say, soft


@click.command("scan")
@click.argument("text")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, text: str, form: str | None) -> None:
    """Tell what TEXT, read from a square, leads to: the very version that was printed, and whether it changed since."""
    from sprayout_library.record import kind_said
    from sprayout_library.today.scanned import scanned

    with desk.store() as store:
        found = scanned(text, store)
        names = desk.names(store)
        name = names.label(found.now.id)
        if form == "json":
            json_out({"kind": found.now.kind, "id": found.now.id, "name": name, "version": found.number,
                      "unchanged": found.unchanged, "code": found.code.text})  # fmt: skip
            return
        say(f"{kind_said(found.now.kind)} {name}", bold=True)
        if found.unchanged:
            say("  It stands as it was printed.")
        elif found.number is not None:
            say(f"  What was printed is version {found.number}; it was changed since.")
            soft(f"  Next: sprayout history {name!r}")
        else:
            say("  The version that was printed is not in this copy of the library; another one stands here.")
            soft("  Sync with the shop that printed it before pouring from it.")
        soft(f"Next: sprayout {'cup' if found.now.kind == 'batch' else 'show'} …{found.now.id[-6:]}")
