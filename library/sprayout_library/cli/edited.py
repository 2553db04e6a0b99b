"""sprayout edited: take in files of a plain clone that were edited by hand."""

from __future__ import annotations

from pathlib import Path

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, say, soft


@click.command("edited")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--look", "way", flag_value="look", help="Only look; take nothing.")
@click.pass_obj
def command(desk: Desk, /, files: tuple[Path, ...], way: str | None) -> None:
    """Take in FILES (or a folder of them) that were edited by hand: each becomes an edit of yours.

    The version each was edited from is found in the history here; what others changed since is kept.
    """
    from sprayout_core.compare import questions_of, tell
    from sprayout_library.record.by_hand import files_in, hand_edits

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        found = hand_edits(store, writer, files_in(files))
        if not found:
            say("Nothing was edited in them.")
            return
        for held, document in found:
            heading(document.name)
            for line in tell(held, document, names.label):
                say(f"  {line.layer.value}: {line.text}")
        if way == "look":
            soft("Nothing was taken.")
            return
        writer.save(
            [document for _, document in found], f"Edited by hand: {', '.join(one.name for _, one in found)}"[:150]
        )
        say()
        say(f"Taken in: {len(found)}.")
        if any(set(questions_of(document)) - set(questions_of(held)) for held, document in found):
            soft("Two answers wait: sprayout answers")
