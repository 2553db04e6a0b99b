"""sprayout libraries: which libraries this machine has, and which is in use."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from sprayout_library.cli.desk import Desk, use_library
from sprayout_library.cli.told import json_out, rows, say, soft


@click.command("libraries")
@click.option("--use", metavar="NAME", help="Take this one into use.")
@click.option("--add", metavar="FOLDER", type=click.Path(path_type=Path), help="A library that stands there already.")
@click.option("--name", help="What to call the one added; by default as it calls itself.")
@click.option("--forget", metavar="NAME", help="Take it off this list; nothing is deleted.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, use: str | None, add: Path | None, name: str | None, forget: str | None, form: str | None
) -> None:
    """Tell which libraries this machine has (your own, shared ones), or take one into use."""
    from sprayout_core.errors import SprayoutError

    if sum(one is not None for one in (use, add, forget)) > 1:
        raise SprayoutError("two things at once", "Give one of --use, --add, --forget.")
    if name and add is None:
        raise SprayoutError("--name goes with --add", "Give the folder: --add FOLDER --name NAME.")
    if add is not None:
        _add(desk, add, name)
    elif use is not None:
        title = known_library(use)
        use_library(Path(_known()[title]), title)
        say(f"{title}: now in use.")
    elif forget is not None:
        _forget(known_library(forget))
    else:
        _tell(form)


def _known() -> dict[str, str]:
    from sprayout_library.machine import shop_facts

    found = shop_facts().get("libraries", {})
    return {str(name): str(folder) for name, folder in found.items()} if isinstance(found, dict) else {}


def known_library(text: str) -> str:
    """Return the name of a library of this machine. Raises SprayoutError with those it has."""
    from sprayout_core.errors import SprayoutError

    known = _known()
    found = [name for name in known if name.casefold() == text.strip().casefold()]
    if len(found) != 1:
        raise SprayoutError(
            f"no library here is called {text!r}", f"This machine has: {', '.join(sorted(known)) or 'none yet'}."
        )
    return found[0]


def library_folder(text: str) -> Path:
    """Return the folder of a library of this machine, by its name."""
    return Path(_known()[known_library(text)])


def _add(desk: Desk, folder: Path, name: str | None) -> None:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.store import Store

    try:
        folder.expanduser().resolve().exists()
    except (OSError, ValueError, RuntimeError):
        raise SprayoutError("is no folder", "Name the folder of a library.") from None
    with Store.open(folder) as store:
        manifest = desk.manifest(store)
        title = name or (manifest.name if manifest else folder.resolve().name)
        place = store.folder
    held = _known().get(title)
    if held is not None and Path(held) != place:
        raise SprayoutError(f"another library here is called {title!r}", "Give --name, a name of its own.")
    use_library(place, title)
    say(f"{title}: {place}, now in use.")


def _forget(title: str) -> None:
    from sprayout_library.machine import shop_facts

    def without(facts: dict[str, Any]) -> None:
        facts.get("libraries", {}).pop(title, None)
        if facts.get("library") == title:
            facts.pop("library")

    place = _known()[title]
    shop_facts().change(without)
    say(f"{title}: off the list. It still stands in {place}.")


def _tell(form: str | None) -> None:
    from sprayout_library.machine import shop_facts

    used = shop_facts().get("library", "")
    found = [
        {"name": name, "folder": folder, "in_use": name == used, "there": (Path(folder) / "HEAD").is_file()}
        for name, folder in sorted(_known().items())
    ]
    if form == "json":
        json_out(found)
        return
    if not found:
        say("None yet.")
        soft("Make one: sprayout create FOLDER")
    rows(
        [
            (
                "*" if one["in_use"] else " ",
                str(one["name"]),
                str(one["folder"]) + ("" if one["there"] else "  (not there now)"),
            )
            for one in found
        ]
    )
