"""sprayout plugins: which are loaded, from where, and what failed."""

from __future__ import annotations

import click

from sprayout_library.cli.told import json_out, rows, say


@click.command("plugins")
@click.option("--json", "form", flag_value="json", help="As JSON.")
def command(form: str | None) -> None:
    """Tell which plugins are loaded, from where, and what was left out and why."""
    from sprayout_plugins import guard, registry

    found = guard.describe(registry.find())
    if form == "json":
        json_out(
            [
                {
                    "name": one.name,
                    "origin": one.origin,
                    "runs": one.runs,
                    "contract": one.contract,
                    "hooks": list(one.hooks),
                    "failure": one.failure,
                }
                for one in found
            ]
        )
        return
    rows(
        (one.name, one.origin, f"runs {one.runs}, contract {one.contract}", ", ".join(one.hooks))
        for one in found
        if not one.failure
    )
    for one in found:
        if one.failure:
            say(f"  {one.name} from {one.origin} was left out: {one.failure}", fg="red")
