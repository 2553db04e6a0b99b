"""sprayout history: the versions of one thing, or what changed in the whole library, and who changed what."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, date_of, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from datetime import date

    from sprayout_library.record import Names, ToldVersion
    from sprayout_library.record.period import Changed
    from sprayout_library.store import Store

_FEW = 12
_DAYS = 30


@click.command("history")
@click.argument("name", required=False)
@click.option("--since", metavar="DAY", help="From this day on, such as 2026-03-02; for the library 30 days back.")
@click.option("--until", metavar="DAY", help="Up to the end of this day; by default today.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, name: str | None, since: str | None, until: str | None, form: str | None) -> None:
    """Tell the versions of NAME, newest first; without NAME, what changed in the whole library.

    \b
    sprayout history "Kelp glass"                          its versions, who made each, which panels are of it
    sprayout history --since 2026-03-02                    what changed since that day, by whom, what was sprayed
    sprayout history --since 2026-03-02 --until 2026-03-08
    """
    from sprayout_library.record.period import day_of

    first, last = (day_of(day) if day else None for day in (since, until))
    with desk.store() as store:
        names = desk.names(store)
        if name is None:
            first = first or (None if last else _days_ago())
            _tell_library(store, names, first, last, form)
        else:
            _tell_thing(desk, store, names, name, (first, last), form)


def _tell_thing(
    desk: Desk, store: Store, names: Names, name: str, days: tuple[date | None, date | None], form: str | None
) -> None:
    from sprayout_library.record.sides import with_panels
    from sprayout_library.record.versions import told_versions

    document = desk.document(store, name)
    every = told_versions(store, document.id, names.label)
    versions = [one for one in every if _is_within(one, *days)]
    if document.kind in ("formula", "recipe"):
        versions = with_panels(store, versions)
    if form == "json":
        json_out([version.data() for version in versions])
        return
    say(document.name, bold=True)
    if not versions:
        say("  nothing changed in that time")
    for version in reversed(versions):
        told = [f"version {version.number}", date_of(version.at), version.by, version.shop]
        say("  " + ", ".join(part for part in told if part))
        for line in version.lines:
            say(f"    {line.layer.value}: {line.text}")
        if not version.lines:
            say(f"    {version.message}")
        if version.panels:
            say(f"    sprayed as {', '.join(names.label(panel) for panel in version.panels)}")
    if len(every) > 1:
        soft(f'  Two of them side by side: sprayout compare "{document.name}@1" "{document.name}@{len(every)}"')


def _is_within(version: ToldVersion, since: date | None, until: date | None) -> bool:
    from datetime import datetime

    day = datetime.fromisoformat(version.at).astimezone().date()
    return (since is None or day >= since) and (until is None or day <= until)


def _days_ago() -> date:
    from datetime import date, timedelta

    return date.today() - timedelta(days=_DAYS)


def _tell_library(store: Store, names: Names, since: date | None, until: date | None, form: str | None) -> None:
    from sprayout_library.record import kind_said
    from sprayout_library.record.period import changed_in, in_layers

    found = changed_in(store, names, since, until)
    if form == "json":
        json_out(found.data())
        return
    if not found.things and not found.evidence:
        say("Nothing changed in that time." if since is None else f"Nothing changed since {since}.")
        return
    for one in found.things:
        heading(f"{one.name}  ({kind_said(one.kind)}{', new' if one.is_new else ''})")
        for layer, lines in in_layers(one.lines):
            rows([(f"{layer.value}:", line) for line in lines])
        _tell_acts(one)
        if one.panels:
            say(f"  sprayed: {', '.join(one.panels)}")
    if found.evidence:
        heading("Sprayed, measured and seen")
        rows([(one.kind, ", ".join(one.panels) or one.name, _by(one)) for one in found.evidence[:_FEW]])
        if len(found.evidence) > _FEW:
            say(f"  and {len(found.evidence) - _FEW} more")
    soft(f"  {counted(len(found.things), 'thing')} changed. One of them whole: sprayout history NAME")


def _tell_acts(one: Changed) -> None:
    for act in one.acts[-_FEW:]:
        say(f"  {date_of(act.at)}, {act.by}, {act.shop}: {act.message}")
    if len(one.acts) > _FEW:
        say(f"  and {len(one.acts) - _FEW} earlier ones")


def _by(one: Changed) -> str:
    act = one.acts[0]
    if one.maker and act.message.startswith("Packet"):
        return f"{date_of(act.at)}, {one.maker}; taken in by {act.by}, {act.shop}"
    return f"{date_of(act.at)}, {act.by}, {act.shop}"
