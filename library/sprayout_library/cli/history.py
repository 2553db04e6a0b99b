"""sprayout history: the versions of one thing, and who changed what."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import date_of, json_out, say, soft


@click.command("history")
@click.argument("name")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, name: str, form: str | None) -> None:
    """Tell the versions of NAME, newest first, each with what it changed."""
    from sprayout_library.record.versions import told_versions

    with desk.store() as store:
        document = desk.document(store, name)
        names = desk.names(store)
        versions = told_versions(store, document.id, names.label)
        if form == "json":
            json_out([version.data() for version in versions])
            return
        say(document.name, bold=True)
        for version in reversed(versions):
            by = f", {version.by}" if version.by else ""
            say(f"  version {version.number}, {date_of(version.at)}{by}")
            for line in version.lines:
                say(f"    {line.layer.value}: {line.text}")
            if not version.lines:
                say(f"    {version.message}")
        if len(versions) > 1:
            soft(f'  Two of them side by side: sprayout compare "{document.name}@1" "{document.name}@{len(versions)}"')
