"""sprayout take-back: bring a version that was replaced back, as a new edit."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft


@click.command("take-back")
@click.argument("version", metavar="NAME@NUMBER")
@click.pass_obj
def command(desk: Desk, /, version: str) -> None:
    """Bring what NAME was in version NUMBER back: a new version, nothing in between is lost.

    Notes, tags and the title stay as they are now.
    """
    from sprayout_core.compare import tell
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.earlier import changes_back
    from sprayout_library.record.versions import at_version, version_of

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        name, number = at_version(version)
        if number is None:
            raise SprayoutError(f"{version!r} names no version", 'Write "NAME@2"; `sprayout history` numbers them.')
        held = desk.document(store, name)
        then = version_of(store, held.id, number, names.label).document
        document = writer.edited(held, changes_back(held, then))
        if document is held:
            say(f"{held.name}: it stands as in version {number} already.")
            return
        writer.save([document], f"{held.name} as in version {number} again")
        say(f"{held.name}: as in version {number} again.")
        for line in tell(held, document, names.label):
            say(f"  {line.layer.value}: {line.text}")
        soft(f'Its versions: sprayout history "{held.name}"')
