"""sprayout give: a recipe or a mix from this library to another one of this machine."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Document
    from sprayout_library.record import Names
    from sprayout_library.store import Store


@click.command("give")
@click.argument("name")
@click.option("--to", "other", required=True, metavar="LIBRARY", help="Another library of this machine.")
@click.option("--as", "title", metavar="TITLE", help="As a version of its own there, instead of the same one.")
@click.option("--yes", "sure", flag_value="yes", help="Also where something in it is marked private.")
@click.pass_obj
def command(desk: Desk, /, name: str, other: str, title: str | None, sure: str | None) -> None:
    """Give NAME to another LIBRARY, with all it needs and its panels.

    It stays one thing in both, and later changes can be given again. With --as it becomes a version of its
    own there; its lineage says which library it came from. What is marked private is named and asked about first.
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.libraries import library_folder
    from sprayout_library.store import Store

    folder = library_folder(other)
    with desk.store() as store:
        if Path(store.folder) == folder.resolve():
            raise SprayoutError(f"{other} is the library in use", "Name another one: sprayout libraries.")
        names = desk.names(store)
        document = desk.document(store, name)
        if sure is None:
            _ask_first(desk, store, document, names, f'sprayout give "{name}" --to "{other}"')
        with Store.open(folder) as there:
            if title is None:
                _give(desk, store, there, document, names)
            else:
                _give_as(desk, store, there, document, title, names)
    soft(f'There: sprayout --library "{other}" show "{title or document.name}"')


def _ask_first(desk: Desk, store: Store, document: Document, names: Names, command: str) -> None:
    from sprayout_library.cli.leaving import ask_private
    from sprayout_library.packet import gathered

    packet = gathered(store, [document], _sent(desk, store), names.label, {})
    ask_private(store, packet.documents.values(), command)


def _sent(desk: Desk, store: Store) -> dict[str, str]:
    from sprayout_library.record import now_text
    from sprayout_library.record.writer import tool_name

    manifest = desk.manifest(store)
    at = now_text(desk.writer(store).clock())
    return {"from": manifest.name if manifest else "", "by": desk.by(), "at": at, "tool": tool_name()}


def _give(desk: Desk, store: Store, there: Store, document: Document, names: Names) -> None:
    """Take a packet of the document in over there, and tell what became of each part."""
    from dataclasses import replace

    from sprayout_library.packet import Fate, gathered, look, packet_bytes, take
    from sprayout_library.sources import Sources, digests_named

    packet = gathered(store, [document], _sent(desk, store), names.label, {})
    kept, beside = Sources(store.folder), Sources(there.folder)
    packet = replace(packet, sha256=hashlib.sha256(packet_bytes(packet)).hexdigest())
    looked = look(there, packet, names.label)
    for digest in sorted(digests_named(packet.documents.values())):
        if (content := kept.content(digest)) is not None:
            beside.keep(content, digest)
    take(there, looked, desk.by(), desk.writer(store).clock())
    words = {
        Fate.NEW: "new there",
        Fate.NEWER: "newer than theirs",
        Fate.JOINED: "joined with theirs",
        Fate.ANSWERS: "two answers there",
        Fate.OLDER: "older than theirs",
        Fate.SAME: "there already",
    }
    told = [(words[fate], str(len(looked.of(fate)))) for fate in Fate if looked.of(fate)]
    say(f"{document.name}: given.", bold=True)
    rows(told)
    if any(one.asked for one in looked.seen):
        soft("Two answers wait there: sprayout answers")


def _give_as(desk: Desk, store: Store, there: Store, document: Document, title: str, names: Names) -> None:
    """Save a version of its own over there; what it needs goes along as it is."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import Names, Writer
    from sprayout_library.record.lineage import derived, facts_of

    facts_of(document)
    if Names(there).matching(title, document.kind):
        raise SprayoutError(f"{title!r} is there already", "Give your version a name of its own.")
    _give(desk, store, there, document, names)
    manifest = desk.manifest(store)
    writer = Writer(there, desk.by(), there.facts.get("shop"))
    child = derived(writer, document, title, {}, manifest.id if manifest else None)
    writer.save(
        [child], f"{title}, a version of {document.name} from {manifest.name if manifest else 'another library'}"
    )
    say(f"{title}: a version of its own there.")
