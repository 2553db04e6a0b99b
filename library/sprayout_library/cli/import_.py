"""sprayout import: take readings in from an instrument's table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import PartlyDone, counted, heading, json_out, on_terminal, rows, say, soft

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sprayout_core.tables import Preview, RowLeftOut, TableReading
    from sprayout_library.inbox import Asked, Copied, Outcome

_SHOWN = 3


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--set", "options", multiple=True, metavar="OPTION=VALUE", help="What the table does not say; repeat it.")
@click.option("--panel", metavar="LABEL", help="All rows are of this panel; otherwise each row's name finds it.")
@click.option("--reader", metavar="PLUGIN", help="Which reader, where several could read the file.")
@click.option("--as-before", "before", flag_value="before", help="With what was told for such a table last time.")
@click.option("--yes", "way", flag_value="take", help="Take it in without asking.")
@click.option("--look", "way", flag_value="look", help="Only show what would be taken in.")
@click.option("--json", "form", flag_value="json", help="The outcome as JSON; asks nothing.")
@click.pass_obj
def command(
    desk: Desk, /, file: Path, options: tuple[str, ...], panel: str | None, reader: str | None, before: str | None,
    way: str | None, form: str | None,
) -> None:  # fmt: skip
    """Take in the readings of FILE: shows what was understood first, then asks.

    Rows whose panel is not known wait in this machine's inbox (sprayout inbox).

    \b
    sprayout import panels.csv --set scale=percent --set geometry=45:0 --set stage=bare
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.going import seen_going
    from sprayout_library.inbox import Asked, Mappings, Readers, copied, headings_mark, options_from_words

    given = options_from_words(options)
    readers = Readers()
    with copied(file) as copy:
        mark, mappings = headings_mark(copy.source), Mappings()
        last = mappings.of_headings(mark) or mappings.of_folder(file.parent)
        if before:
            if last is None:
                raise SprayoutError(f"nothing was told for a table like {file.name} yet", "Tell it with --set.")
            given, reader = {**last.options, **given}, reader or last.reader
        plugin, preview = readers.preview(seen_going(copy.source, "looking through it"), given).chosen(reader)
        if form != "json":
            if way == "take" and preview.ready:
                _tell_short(file, preview)
            else:
                _tell_preview(file, preview, _homes(desk, preview, panel))
        if not preview.ready:
            offered = _offered(preview, last) if last and not before else ""
            raise SprayoutError(f"{file.name} cannot be taken in as it stands", _remedy(preview) + offered)
        if way == "look" or (form != "json" and way is None and not (on_terminal() and click.confirm("Take it in?"))):
            if way is None:
                soft("Nothing was written. To take it in: the same with --yes")
            return
        asked, going = Asked(given, reader or ""), seen_going(copy.source, "taking it in")
        found = readers.rows(going, plugin, given)
        outcome, panels = _take(desk, file, copy, asked, asked.mark(readers), found, panel)
        mappings.keep_for_headings(mark, Asked(preview.mapping, plugin))
    if form == "json":
        json_out({"taken": outcome.fresh, "known": outcome.known, "waiting": outcome.waiting_count,
                  "left_out": [{"line": line, "reason": reason} for line, reason in _left(outcome)]})  # fmt: skip
    else:
        _tell_outcome(outcome, panels)
    if outcome.waiting_count:
        raise PartlyDone(
            f"{counted(outcome.waiting_count, 'reading')} waiting until the panel is known",
            "They wait: record the panel, or tell it with sprayout inbox. Nothing is taken twice.",
        )


def _take(
    desk: Desk, file: Path, copy: Copied, asked: Asked, mark: str, rows: Iterable[TableReading | RowLeftOut],
    panel: str | None,
) -> tuple[Outcome, list[str]]:  # fmt: skip
    """Save the readings, note the file as taken, and return what came of it and which panels it was of."""
    from sprayout_library.inbox import Batch, Inbox
    from sprayout_library.record.placing import Spots

    with desk.store() as store:
        identity = desk.names(store).find(panel, "panel").id if panel else None
        writer, spots = desk.writer(store), Spots(store)
        inbox = Inbox(store, writer.clock)
        with inbox.turn():
            batch = Batch(writer, inbox, spots)
            outcome = batch.take(copy, file.resolve(), mark, rows, panel=identity, meaning=asked.meaning)
            batch.save()
    return outcome, sorted(map(spots.label, outcome.panels))


def _left(outcome: Outcome) -> list[tuple[int, str]]:
    return sorted([*outcome.left_out, *((line, reason) for line, _, reason in outcome.waiting)])


def _offered(preview: Preview, last: Asked) -> str:
    """Return the offer of what was told last time, where it answers something that is asked."""
    asked = {question.option for question in preview.questions}
    told = " ".join(f"{name}={value}" for name, value in last.options.items())
    return f" Last time it was told {told}: if that holds here too, --as-before." if asked & set(last.options) else ""


def _tell_short(file: Path, preview: Preview) -> None:
    told = ", ".join(f"{one.what.replace('_', ' ')} {one.value}" for one in preview.understood if one.how != "assumed")
    say(f"{file.name}: {told}; {counted(preview.readings, 'reading')}.")
    for one in preview.understood:
        if one.how == "assumed":
            soft(f"  assumed: {one.what.replace('_', ' ')} {one.value} ({one.why})")


def _homes(desk: Desk, preview: Preview, panel: str | None) -> list[str]:
    """Return where the first rows belong, by their names, or that they would wait; nothing for a table that asks."""
    from sprayout_library.record.placing import SpotNotFound, Spots

    if not preview.ready:
        return []
    homes = []
    with desk.store() as store:
        spots = Spots(store)
        for row in preview.first[:_SHOWN]:
            try:
                found = spots.agreed(panel or row.label, None)
            except SpotNotFound as unknown:
                homes.append(f"would wait: {unknown.fault.problem}")
            else:
                homes.append("of " + "/".join(filter(None, (spots.label(found.panel), found.place))))
    return homes


def _tell_preview(file: Path, preview: Preview, homes: list[str]) -> None:
    say(f"{file.name}, as {preview.reader} understands it:", bold=True)
    rows(
        [
            (one.what.replace("_", " "), one.value, f"{one.how}{': ' + one.why if one.why else ''}")
            for one in preview.understood
        ]
    )
    if preview.ready:
        say(f"  {counted(preview.readings, 'reading')}")
    for place, row in enumerate(preview.first[:_SHOWN]):
        count = f"{len(row.values)} values, {row.wavelengths[0]:g} to {row.wavelengths[-1]:g} nm" if row.values else ""
        lab = ", ".join(f"{name} {value:g}" for name, value in row.coordinates.items())
        rows([(f"line {row.line}", row.label or "(no name)", count, lab, *homes[place : place + 1])])
    for left in preview.left_out[:5]:
        say(f"  line {left.line} gives no reading: {left.reason}")
    if preview.left_out_count > 5:
        say(f"  and {preview.left_out_count - 5} more lines like these")
    for question in preview.questions:
        heading(question.words)
        say(f"  asked because {question.why}")
        if question.choices:
            rows([(f"--set {question.option}={choice.value}", choice.words) for choice in question.choices])
        else:
            say(f"  --set {question.option}=...")
    for fault in preview.faults:
        say(f"  {fault}", fg="red")


def _remedy(preview: Preview) -> str:
    if preview.faults:
        return "Nothing was written. Mend the file, or see docs/tables.md for the options."
    asked = " ".join(f"--set {question.option}=..." for question in preview.questions)
    return f"Nothing was written. Answer what it asks: {asked}"


def _tell_outcome(outcome: Outcome, panels: list[str]) -> None:
    say(f"{counted(len(outcome.fresh), 'reading')} taken in, {len(outcome.known)} known already.")
    for line, _, reason in outcome.waiting[:10]:
        say(f"  line {line} waits: {reason}", fg="yellow")
    if outcome.waiting_count > 10:
        say(f"  and {outcome.waiting_count - 10} more wait: sprayout inbox", fg="yellow")
    for line, reason in outcome.left_out[:10]:
        say(f"  line {line} gives no reading: {reason}", fg="yellow")
    if panels:
        soft(f"Next: sprayout show {panels[0]}")
