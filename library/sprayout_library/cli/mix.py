"""sprayout mix: write a mix in one line, or write an existing one anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.material import ROLES
from sprayout_library.cli.told import on_terminal, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Document
    from sprayout_core.mix import Line
    from sprayout_library.record import Writer
    from sprayout_library.store import Store


@click.command("mix")
@click.argument("line")
@click.option("--new", "fresh", multiple=True, metavar="NAME=ROLE", help="Record a material that is not known yet.")
@click.option("--tag", multiple=True, help="A word to find it by; repeat it.")
@click.option("--note", help="A remark.")
@click.pass_obj
def command(desk: Desk, /, line: str, fresh: tuple[str, ...], tag: tuple[str, ...], note: str | None) -> None:
    """Write a mix in one LINE: a name, then parts with their names.

    \b
    sprayout mix "Kelp glass = 5 weak teal : 2 strong teal"
    sprayout mix "Kelp glass bodied = 9 clear carrier : 2 Kelp glass"

    A name that stands already is written anew; its history keeps the old mix. A name in square brackets,
    such as [dye], leaves a slot open. Parts are by volume unless the line ends in "by mass".
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import parse_line
    from sprayout_library.record import unknown_names

    parsed = parse_line(line)
    if parsed.title is None:
        raise SprayoutError("the mix has no name", f'Write it before the parts: "Name = {line}".')
    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        materials = _materials(writer, unknown_names(parsed, names), fresh)
        if materials:
            writer.save(materials, f"Materials for {parsed.title}")
            desk.renamed()
        known = desk.names(store).matching(parsed.title, "formula")
        if known:
            _write_anew(desk, store, writer, known[0].id, parsed)
        else:
            _write_first(desk, store, writer, parsed, tag, note)


def _materials(writer: Writer, missing: list[str], fresh: tuple[str, ...]) -> list[Document]:
    """Return new materials for names that nothing goes by: as told, or asked for at a terminal."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import Unknown

    told = {}
    for pair in fresh:
        name, _, role = pair.rpartition("=")
        if not name or role.strip() not in ROLES:
            raise SprayoutError(f"--new {pair!r} says no role", f'Write "NAME=ROLE" with one of: {", ".join(ROLES)}.')
        told[" ".join(name.casefold().split())] = role.strip()
    made: list[Document] = []
    left: list[str] = []
    for name in missing:
        said: str | None = told.get(" ".join(name.casefold().split()))
        if said is None and on_terminal():
            said = click.prompt(f"{name} is not known yet. What is it?", type=click.Choice(ROLES))
        if said is None:
            left.append(name)
        else:
            made.append(writer.new("material", {"title": name, "role": said}))
    if left:
        raise Unknown(left)
    return made


def _write_first(
    desk: Desk, store: Store, writer: Writer, parsed: Line, tags: tuple[str, ...], note: str | None
) -> None:
    from sprayout_core.compare import written_ratio
    from sprayout_core.documents import Formula
    from sprayout_library.record import mix_from_line

    names = desk.names(store)
    facts: dict[str, Any] = {"title": parsed.title, "mix": mix_from_line(parsed, names), "tags": list(tags)}
    if note:
        facts["notes"] = [{"text": note, "by": writer.by}]
    document = writer.new("formula", facts)
    assert isinstance(document, Formula)
    _check_cycle(document, store)
    writer.save([document], f"Mix {parsed.title}")
    say(f"{parsed.title} = {written_ratio(document, names.label)}")
    soft(f'Never sprayed. Next: sprayout recipe "..." --over GROUND --coat "5 {parsed.title}"')


def _write_anew(desk: Desk, store: Store, writer: Writer, identity: str, parsed: Line) -> None:
    from sprayout_core.compare import tell, written_ratio
    from sprayout_core.documents import Formula
    from sprayout_core.mix import read_back
    from sprayout_library.record.formulas import mix_changes

    held = store.get(identity)
    assert isinstance(held, Formula)
    names = desk.names(store)
    document = writer.edited(held, mix_changes(held, read_back(parsed), names))
    assert isinstance(document, Formula)
    _check_cycle(document, store)
    if document is held:
        say(f"{held.name} = {written_ratio(held, names.label)}: it stands so already.")
        return
    writer.save([document], f"Mix {held.name}")
    say(f"{held.name} = {written_ratio(document, names.label)}")
    for told in tell(held, document, names.label):
        say(f"  {told.layer.value}: {told.text}")
    soft(f'A panel shows the mix it was sprayed from. Was it sprayed as it stands now: sprayout show "{held.name}"')


def _check_cycle(document: Document, store: Store) -> None:
    """Refuse a mix that would contain itself through others, before it is saved."""
    from sprayout_core.documents import Formula, MissingDocument, OpenQuestion, proofs

    assert isinstance(document, Formula)

    def find(name: str) -> Document | None:
        return document if name == document.id else store.find(name)

    try:
        proofs(document, find)
    except (OpenQuestion, MissingDocument):
        return
