"""sprayout unpack: look into a packet, then take it in."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk, NoLibrary
from sprayout_library.cli.guessed import tell_guesses
from sprayout_library.cli.told import date_of, heading, json_out, on_terminal, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.packet import Look
    from sprayout_library.record import Names
    from sprayout_library.store import Store


@click.command("unpack")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--look", "way", flag_value="look", help="Only look; take nothing.")
@click.option("--take", "way", flag_value="take", help="Take it in without asking.")
@click.option("--json", "form", flag_value="json", help="As JSON; takes nothing without --take.")
@click.pass_obj
def command(desk: Desk, /, file: Path, way: str | None, form: str | None) -> None:
    """Open the packet FILE: what is new, newer, older, two answers; then take it in.

    Taking it twice is nothing; what is older than yours is nothing. At a terminal you are asked first.
    Without a library of your own you may look.
    """
    from sprayout_library.packet import look, packet_content, packet_from, shown, take

    content = packet_content(file)
    packet = packet_from(content, shown(file.name))
    with _held(desk) as (store, own):
        names = desk.names(store)
        signed = _signed(store, file, content)

        def name(identity: str) -> str:
            held = packet.documents.get(identity)
            return names.label(identity) if identity in names.entries or held is None else held.name

        looked = look(store, packet, name)
        if form == "json":
            json_out(_data(looked) | {"signed": signed})
        else:
            _tell(looked, signed)
        if not own and way == "take":
            raise NoLibrary("no library is in use yet", "Make one: sprayout create FOLDER --shop NAME.")
        if not own:
            if form != "json":
                soft("No library is in use yet. To take it: sprayout create FOLDER --shop NAME, then this once more")
            return
        if way == "look" or (form == "json" and way is None) or not looked.changing:
            _done(looked, form)
            return
        if way is None and on_terminal() and not click.confirm("Take it in?", default=True):
            say("Nothing was taken.")
            return
        written = take(store, looked, desk.by(), desk.writer(store).clock())
        desk.renamed()
        if form != "json" and written is not None:
            _after(store, desk.names(store), looked)


@contextmanager
def _held(desk: Desk) -> Iterator[tuple[Store, bool]]:
    """Open the library in use; where there is none, an empty one for looking, gone afterwards; and say which it is."""
    import tempfile
    from datetime import UTC, datetime

    from sprayout_library.store import Store
    from sprayout_library.store.making import begin

    try:
        desk.folder()
    except NoLibrary:
        with tempfile.TemporaryDirectory(prefix="sprayout-") as folder:
            begin(Path(folder) / "empty", "0" * 16, datetime.now(UTC))
            with Store.open(Path(folder) / "empty") as store:
                yield store, False
        return
    with desk.store() as store:
        yield store, True


def _signed(store: Store, file: Path, content: bytes) -> str:
    """Return what the signature beside a packet is worth, in words. Raises SprayoutError where it does not fit."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.trust import State, check_packet

    beside = file.with_name(file.name + ".sig")
    try:
        with beside.open("rb") as opened:
            signature = opened.read(20_000).decode("ascii", "replace")
    except OSError:
        signature = ""
    found = check_packet(store, content, signature.strip())
    if found.state in (State.BROKEN, State.WITHDRAWN):
        remedy = "Ask the sender for both files again; without the signature it counts as not signed."
        raise SprayoutError(found.state.value, remedy, place=beside.name)
    return f"{found.state.value}{f' ({found.fingerprint})' if found.fingerprint else ''}"


def _tell(looked: Look, signed: str) -> None:
    from sprayout_library.packet import Fate
    from sprayout_library.record import kind_said

    sent = looked.packet.sent
    about = ", ".join(looked.packet.documents[identity].name for identity in looked.packet.about)
    who = [sent.get("by", ""), sent.get("shop", ""), sent.get("from", "")]
    say(f"{about}", bold=True)
    told = ", ".join(part for part in who if part) or "someone"
    say(f"  says it is from {told}{', ' + date_of(sent['at']) if sent.get('at') else ''}; {signed}")
    for fate in Fate:
        found = looked.of(fate)
        if not found:
            continue
        heading(f"{fate.value.capitalize()}: {len(found)}")
        if fate in (Fate.SAME, Fate.OLDER) or (fate is Fate.NEW and len(found) > 30):
            counts: dict[str, int] = {}
            for one in found:
                said = kind_said(one.document.kind)
                counts[said] = counts.get(said, 0) + 1
            rows([(kind, str(count)) for kind, count in sorted(counts.items())])
            continue
        for one in found:
            kind = one.document.kind
            rows([(kind_said(kind), one.document.name.removeprefix(f"{kind} "))])
            rows([(f"{line.layer.value}:", line.text) for line in one.lines], indent="      ")
    if looked.gaps:
        heading("What you would have to guess")
        tell_guesses((gap.about, gap.question, "") for gap in looked.gaps)
    say()


def _done(looked: Look, form: str | None) -> None:
    if form == "json":
        return
    if not looked.changing:
        say("Nothing in it is new here.")
    else:
        soft("Nothing was taken. To take it: sprayout unpack FILE --take")


def _after(store: Store, names: Names, looked: Look) -> None:
    from sprayout_library.cli.shown import caution_lines

    count = len(looked.changing)
    say(f"Taken in: {count} {'document' if count == 1 else 'documents'}.")
    if any(one.asked for one in looked.seen):
        soft("Two answers wait: sprayout answers")
    told = [
        line for identity in looked.packet.about for line in caution_lines(looked.packet.documents[identity], store)
    ]
    for line in dict.fromkeys(told):
        say(f"  {line}", fg="yellow")
    about = names.label(looked.packet.about[0])
    soft(f'Next: sprayout show "{about}"')


def _data(looked: Look) -> dict[str, Any]:
    packet = looked.packet
    return {
        "about": list(packet.about),
        "sent": dict(packet.sent),
        "sha256": packet.sha256,
        "documents": [
            {
                "kind": one.document.kind, "id": one.document.id, "name": one.document.name,
                "fate": one.fate.name.lower(), "two_answers": list(one.asked),
                "changes": [{"layer": line.layer.value, "text": line.text} for line in one.lines],
            }
            for one in looked.seen
        ],
        "gaps": [gap.data() for gap in looked.gaps],
        "sources": sorted(packet.sources),
    }  # fmt: skip
