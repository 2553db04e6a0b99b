"""sprayout sync: send what is new here, take in what is new there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import PartlyDone, counted, json_out, on_terminal, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.record import Names
    from sprayout_library.store import Store
    from sprayout_library.sync import Admit, Strangers, SyncReport


@click.command("sync")
@click.option(
    "--to",
    "address",
    metavar="ADDRESS",
    help="Share through this from now on: a folder, ssh or https address.",
)
@click.option("--name", default="hub", show_default=True, help="What that place is called here.")
@click.option(
    "--yes",
    "sure",
    flag_value="yes",
    help="Do not ask, even where more than usual would leave, or another library is shared there.",
)
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, address: str | None, name: str, sure: str | None, form: str | None) -> None:
    """Sync this library with the place it is shared through.

    Where more than usual would leave, or anything from a library marked private, it is shown and asked first.

    Nothing waits for anybody: where two shops wrote different things, both stand until someone chooses.
    """
    from datetime import UTC, datetime

    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.shops import announce_copy
    from sprayout_library.sync import join_remote, remotes, sync

    now = datetime.now(UTC)
    with desk.store() as store:
        known = remotes(store)
        if sure is None:
            _ask_first(desk, store, name, address)
        before = store.head
        if address:
            reports = {name: join_remote(store, name, address, now, admit=_admitting(address, sure))}
        elif not known:
            raise SprayoutError("this library is not shared yet", "Say through what: sprayout sync --to ADDRESS")
        else:
            reports = {place: sync(store, remote, now) for place, remote in known.items()}
        if announce_copy(desk.writer(store)):  # as after a restored backup; it goes out with the next sync
            desk.renamed()
        names = desk.names(store)
        if form == "json":
            json_out({place: _data(report) for place, report in reports.items()})
        else:
            for place, report in reports.items():
                tell_report(place, report, names, store)
                _tell_changed(store, before, report, names)
        if not all(report.whole for report in reports.values()):
            raise PartlyDone("not everything went through", "What came in stands; sync again when the reason is gone.")


def _admitting(address: str, sure: str | None) -> Admit:
    beside = f"sprayout join {address} FOLDER"
    return admitting(f"sprayout sync --to {address}", sure, f"To have a copy of it beside this one: {beside}.")


def admitting(command: str, sure: str | None, otherwise: str) -> Admit:
    """Return what asks a person before a library that began apart becomes one with this one.

    sure       anything where the answer was given beforehand
    otherwise  what to do instead, one sentence
    """

    def admit(strangers: Strangers) -> None:
        from sprayout_core.errors import SprayoutError

        if sure is not None:
            return
        called = " with ".join(repr(name) for name in strangers.names) or "without a name yet"
        told = f"another library, {called}, of {counted(strangers.documents, 'document')}, began apart from this one"
        if not on_terminal():
            raise SprayoutError(
                f"{told}: together they become one, for all who share them, for good",
                f"{otherwise} To make them one: {command} --yes",
            )
        say(f"There is {told}.", fg="yellow")
        say(f"  Together they become one, for all who share them, for good. {otherwise}")
        click.confirm("Make them one?", abort=True)

    return admit


def _ask_first(desk: Desk, store: Store, name: str, address: str | None) -> None:
    """Ask before more than usual leaves. Raises SprayoutError where nobody can be asked."""
    from sprayout_library.cli.leaving import ask_first
    from sprayout_library.sync import everything, is_missing, leaving, remote_at, remotes

    for remote in [remote_at(name, address)] if address else remotes(store).values():
        found = everything(store) if address and is_missing(remote) else leaving(store, remote)
        if found.asks:
            ask_first(remote.name, found, desk.names(store), "sprayout sync" + (f" --to {address}" if address else ""))
            desk.renamed()  # more names may come in


def tell_report(place: str, report: SyncReport, names: Names, store: Store) -> None:
    """Tell what one sync did."""
    say(f"{place}: {len(report.sent)} sent, {len(report.received)} taken in.")
    tell_received(report, names, store)


def tell_received(report: SyncReport, names: Names, store: Store) -> None:
    """Tell what came in, what is asked since, and what was not let in; copies by the names of their shops."""
    called = _shops_said(store) if report.refused or report.notes else {}
    rows([("in", _called(one, names)) for one in report.received[:12]])
    if len(report.received) > 12:
        say(f"  and {len(report.received) - 12} more")
    for question in report.questions:
        about = question.atom.partition("/")[0].replace("_", " ")
        say(f"  two answers: {question.title or names.label(question.id)}, {about}", fg="yellow")
    for fault in report.refused:
        say(f"  not let in: {_by_shop(str(fault), called)}", fg="red")
    for note in report.notes:
        soft(f"  {_by_shop(note, called)}")
    if report.questions:
        soft("  To look and choose: sprayout answers")


def _shops_said(store: Store) -> dict[str, str]:
    from sprayout_library.record.shops import copies_called

    return copies_called(store)


def _by_shop(text: str, called: dict[str, str]) -> str:
    """Return a text with the shop's name for each copy that it names."""
    import re

    return re.sub(r"(?<![\w-])[a-z0-9]{6,12}(?![\w-])", lambda found: called.get(found[0], found[0]), text)


def _tell_changed(store: Store, before: str | None, report: SyncReport, names: Names) -> None:
    """Tell of mixes and recipes that stood here how they differ now: what was written here may have been settled."""
    from sprayout_core.compare import tell
    from sprayout_core.errors import SprayoutError

    asked = {question.id for question in report.questions}
    for identity in report.received[:12]:
        entry = names.entries.get(identity)
        if before is None or identity in asked or entry is None or entry.kind not in ("formula", "recipe"):
            continue
        try:
            was = store.at(before, identity)
        except SprayoutError:  # it is new here
            continue
        now = store.get(identity)
        for line in tell(was, now, names.label) if now is not None else ():
            say(f"  {names.label(identity)}, {line.layer.value}: {line.text}")


def _called(identity: str, names: Names) -> str:
    """Return what a document is called; with its kind where it has no name of its own."""
    entry = names.entries.get(identity)
    label = names.label(identity)
    return f"{entry.kind} {label}" if entry and label.startswith("…") else label


def _data(report: SyncReport) -> dict[str, object]:
    return {
        "sent": report.sent,
        "received": report.received,
        "questions": [{"id": one.id, "title": one.title, "about": one.atom} for one in report.questions],
        "refused": [str(fault) for fault in report.refused],
        "notes": report.notes,
        "whole": report.whole,
    }
