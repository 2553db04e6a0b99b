"""sprayout inbox: what came in and waits, why, and what to do about it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.inbox import Inbox, WaitingRow

_LISTED = 40


@click.command("inbox")
@click.argument("which", nargs=-1)
@click.option("--to", "panel", metavar="LABEL", help="WHICH are readings of this panel, step or zone (KF-1/3).")
@click.option("--drop", "way", flag_value="drop", help="WHICH are no readings of ours: they are not taken.")
@click.option("--again", "way", flag_value="again", help="Try again to find panels by names.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, which: tuple[str, ...], panel: str | None, way: str | None, form: str | None) -> None:
    """What waits on this machine: readings without a panel, and files that could not be taken.

    WHICH names readings by their code in the list, by their name in the table, or by their file.

    \b
    sprayout inbox
    sprayout inbox 7c31 --to KF-1/3
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.inbox import Inbox, place_waiting
    from sprayout_library.record.placing import Spots

    if bool(which) != (panel is not None or way == "drop"):
        raise click.UsageError("Name what waits and say --to LABEL or --drop.")
    with desk.store() as store:
        writer = desk.writer(store)
        inbox = Inbox(store, writer.clock)
        if way is None and panel is None:
            _tell(inbox, form)
            return
        with inbox.turn():
            chosen = [row for word in which for row in _chosen(inbox, word)]
            if way == "drop":
                inbox.note(placed={row.key: "" for row in chosen})
                say(f"{counted(len(chosen), 'reading')} dropped: importing the file with --panel brings them back.")
                return
            spots = Spots(store)
            told = {row.key: panel for row in chosen} if panel else None
            placed = place_waiting(writer, inbox, spots, told)
        if form == "json":
            json_out({"placed": len(placed), "waiting": len(inbox.rows)})
        elif not placed:
            say(f"No panel was found; {counted(len(inbox.rows), 'reading')} waiting.")
        else:
            labels = sorted({spots.label(one) for one in placed.values()})
            say(f"{counted(len(placed), 'reading')} taken in for {', '.join(labels[:5])}; {len(inbox.rows)} waiting.")
            soft(f"Next: sprayout show {labels[0]}")
    if panel and not placed:
        raise SprayoutError("nothing was placed", "See what waits: sprayout inbox")


def _code(row: WaitingRow) -> str:
    return row.key[:6]


def _chosen(inbox: Inbox, word: str) -> list[WaitingRow]:
    """Return the waiting readings a word names: one by its code, or all of a name or a file. Raises SprayoutError."""
    from sprayout_core.errors import SprayoutError

    waiting = list(inbox.rows.values())
    found = [row for row in waiting if row.label == word or word in (row.file, Path(row.file).name)]
    if not found:
        found = [row for row in waiting if len(word) >= 4 and row.key.startswith(word.lower())]
        if len(found) > 1:
            raise SprayoutError(f"{word!r} could be several readings", "Give more of the code.")
    if not found:
        raise SprayoutError(f"nothing that waits is called {word!r}", "See what waits: sprayout inbox")
    return found


def _tell(inbox: Inbox, form: str | None) -> None:
    waiting = sorted(inbox.rows.values(), key=lambda row: (row.file, row.line, row.number))
    refused = sorted(inbox.refused(), key=lambda note: note.path)
    if form == "json":
        json_out({
            "waiting": [{"code": row.key, "file": row.file, "line": row.line, "label": row.label, "reason": row.reason}
                        for row in waiting],
            "not_taken": [{"file": note.path, "reason": note.reason, "at": note.at} for note in refused],
        })  # fmt: skip
        return
    if not waiting and not refused:
        say("Nothing waits.")
        return
    if waiting:
        heading(f"{counted(len(waiting), 'reading')} waiting for a panel")
        rows([(_code(row), row.label or row.named or "(no name)", f"{Path(row.file).name}, line {row.line}", row.reason)
              for row in waiting[:_LISTED]])  # fmt: skip
        if len(waiting) > _LISTED:
            say(f"  and {len(waiting) - _LISTED} more (--json lists all)")
        soft("Record the panel and they find it by name, or tell it: sprayout inbox CODE --to LABEL")
    if refused:
        heading(f"{counted(len(refused), 'file')} not taken")
        rows([(Path(note.path).name, note.reason if Path(note.path).exists() else f"{note.reason} (no longer there)")
              for note in refused[:_LISTED]])  # fmt: skip
        if len(refused) > _LISTED:
            say(f"  and {len(refused) - _LISTED} more (--json lists all)")
        soft("A file is tried again when it changed, or when its folder is watched with other options.")
