"""sprayout stick: a whole library in one file, for shops that never meet on a network."""

from __future__ import annotations

from pathlib import Path

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import PartlyDone, say, soft

_BEGINS = b"# v2 git bundle\n"


@click.group("stick")
def command() -> None:
    """Carry the library on a stick: write FILE here, take FILE there.

    What comes off a stick is looked at as everything that arrives, and joined the same way.
    """


@command.command("write")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yes", "sure", flag_value="yes", help="What is marked private goes out without asking.")
@click.pass_obj
def write(desk: Desk, /, file: Path, sure: str | None) -> None:
    """Write all this library holds into FILE; an older stick file of that name is replaced."""
    from sprayout_library.cli.leaving import ask_first
    from sprayout_library.sync import bundle, everything

    _writable(file)
    with desk.store() as store:
        found = everything(store)
        if (found.private or found.marked) and not sure:
            ask_first(str(file), found, desk.names(store), f"sprayout stick write {file}")
        target = bundle(store, file)
        size = max(1, target.stat().st_size // 1000)
        say(f"{file}: the whole library, {len(found.documents)} documents, {size} kB.")
    soft(f"There: sprayout stick take {file.name}")


@command.command("take")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yes", "sure", flag_value="yes", help="Do not ask, even where it is another library's stick.")
@click.pass_obj
def take(desk: Desk, /, file: Path, sure: str | None) -> None:
    """Take in what is on FILE; where two shops wrote different things, both stand until someone chooses.

    A shop without a library begins with it: sprayout join FILE FOLDER.
    """
    from datetime import UTC, datetime

    from sprayout_library.cli.sync import admitting, tell_received
    from sprayout_library.sync import take_bundle

    with desk.store() as store:
        admit = admitting(
            f"sprayout stick take {file}", sure, f"To have a copy of it beside this one: sprayout join {file} FOLDER."
        )
        report = take_bundle(store, file, datetime.now(UTC), admit=admit)
        say(f"{file.name}: {len(report.received)} taken in.")
        tell_received(report, desk.names(store), store)
        if report.refused:
            raise PartlyDone("not everything was let in", "What came in stands. Ask that shop to write it again.")


def _writable(file: Path) -> None:
    """Refuse to write over anything but an older stick file. Raises SprayoutError."""
    from sprayout_core.errors import SprayoutError

    place = str(file)
    try:
        if file.is_dir():
            raise SprayoutError("is a folder", "Name the file, such as kelp.stick.", place=place)
        if not file.absolute().parent.is_dir():
            raise SprayoutError("its folder is not there", "Is the stick connected?", place=place)
        if file.exists():
            with file.open("rb") as there:
                if there.read(len(_BEGINS)) != _BEGINS:
                    raise SprayoutError("is there already and is no stick file", "Name another one.", place=place)
    except OSError as error:
        raise SprayoutError(f"cannot be used: {error.strerror}", "Name another file.", place=place) from None
    except ValueError:
        raise SprayoutError("is no file name", "Name another file.", place=place[:60].replace("\0", "?")) from None
