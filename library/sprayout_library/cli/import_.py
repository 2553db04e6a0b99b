"""sprayout import: take readings in from an instrument's table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import PartlyDone, counted, heading, json_out, on_terminal, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.tables import Preview


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--set", "options", multiple=True, metavar="OPTION=VALUE", help="What the table does not say; repeat it.")
@click.option("--panel", metavar="LABEL", help="All rows are of this panel; otherwise each row's name finds it.")
@click.option("--reader", metavar="PLUGIN", help="Which reader, where several could read the file.")
@click.option("--yes", "way", flag_value="take", help="Take it in without asking.")
@click.option("--look", "way", flag_value="look", help="Only show what would be taken in.")
@click.option("--json", "form", flag_value="json", help="The outcome as JSON; asks nothing.")
@click.pass_obj
def command(
    desk: Desk,
    /,
    file: Path,
    options: tuple[str, ...],
    panel: str | None,
    reader: str | None,
    way: str | None,
    form: str | None,
) -> None:
    """Take in the readings of FILE: shows what was understood first, then asks.

    \b
    sprayout import panels.csv --set scale=percent --set geometry=45:0 --set stage=bare
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.inbox.taking import options_from_words, preview_of, take_in

    given = options_from_words(options)
    with desk.store() as store:
        previews = preview_of(file, given)
        plugin, preview = previews.chosen(reader)
        if form != "json":
            (_tell_short if way == "take" and preview.ready else _tell_preview)(file, preview)
        if not preview.ready:
            raise SprayoutError(
                f"{file.name} cannot be taken in as it stands",
                _remedy(preview),
            )
        if way == "look" or (form != "json" and way is None and not (on_terminal() and click.confirm("Take it in?"))):
            if way is None:
                soft("Nothing was written. To take it in: the same with --yes")
            return
        names = desk.names(store)
        identity = names.find(panel, "panel").id if panel else None
        outcome = take_in(
            desk.writer(store), names, previews.source, plugin, given, identity, f"Readings from {file.name}"
        )
        if form == "json":
            json_out({"taken": [one.id for one in outcome.fresh], "known": outcome.known,
                      "left_out": [{"line": line, "reason": reason} for line, reason in outcome.left_out]})  # fmt: skip
        else:
            _tell_outcome(outcome, names)
        if outcome.left_out:
            raise PartlyDone(
                f"{counted(len(outcome.left_out), 'row')} left out",
                "Mend them and import again: nothing is taken twice.",
            )


def _tell_short(file: Path, preview: Preview) -> None:
    told = ", ".join(f"{one.what.replace('_', ' ')} {one.value}" for one in preview.understood if one.how != "assumed")
    say(f"{file.name}: {told}; {counted(preview.readings, 'reading')}.")
    for one in preview.understood:
        if one.how == "assumed":
            soft(f"  assumed: {one.what.replace('_', ' ')} {one.value} ({one.why})")


def _tell_preview(file: Path, preview: Preview) -> None:
    say(f"{file.name}, as {preview.reader} understands it:", bold=True)
    rows(
        [
            (one.what.replace("_", " "), one.value, f"{one.how}{': ' + one.why if one.why else ''}")
            for one in preview.understood
        ]
    )
    if preview.ready:
        say(f"  {counted(preview.readings, 'reading')}")
    for row in preview.first[:3]:
        count = f"{len(row.values)} values, {row.wavelengths[0]:g} to {row.wavelengths[-1]:g} nm" if row.values else ""
        lab = ", ".join(f"{name} {value:g}" for name, value in row.coordinates.items())
        rows([(f"line {row.line}", row.label or "(no name)", count, lab)])
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


def _tell_outcome(outcome: Any, names: Any) -> None:
    say(f"{counted(len(outcome.fresh), 'reading')} taken in, {len(outcome.known)} known already.")
    for line, reason in outcome.left_out[:10]:
        say(f"  line {line} left out: {reason}", fg="yellow")
    panels = sorted({names.label(reading.panel) for reading in outcome.fresh})
    if panels:
        soft(f"Next: sprayout show {panels[0]}")
