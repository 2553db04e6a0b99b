"""sprayout plugins: which are loaded, from where, and what failed."""

from __future__ import annotations

import click

from sprayout_library.cli.told import json_out, rows, say


@click.command("plugins")
@click.option("--json", "form", flag_value="json", help="As JSON.")
def command(form: str | None) -> None:
    """Tell which plugins are loaded, from where, and what was left out and why."""
    from sprayout_plugins import registry

    found = registry.find()
    loaded = [
        (one.name, one.origin, f"contract {one.contract}" if one.contract else "runs apart") for one in found.listed
    ]
    failed = [(one.name, one.origin, one.reason) for one in found.left_out]
    if form == "json":
        json_out({"loaded": [list(row) for row in loaded], "left_out": [list(row) for row in failed]})
        return
    rows(loaded)
    for name, origin, reason in failed:
        say(f"  {name} from {origin} was left out: {reason}", fg="red")
