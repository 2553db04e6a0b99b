"""sprayout demo: a made-up co-op plays the whole main job with the real commands."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Any

import click

from sprayout_library.cli.told import counted, heading, rows, say, soft


@click.command("demo")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
def command(folder: Path | None) -> None:
    """Play two invented shops sharing a colour, in FOLDER (a new one; else a temporary one, kept and named).

    Every line after a $ is a command that you can type yourself.
    """
    import tempfile

    from sprayout_core.errors import SprayoutError
    from sprayout_library.demo import BY, SHOPS, export_files, story

    if folder is None:
        folder = Path(tempfile.mkdtemp(prefix="sprayout-demo-"))
    elif folder.exists() and any(folder.iterdir()):
        raise SprayoutError("the folder is not empty", "Choose a new folder for the demo.", place=str(folder))
    folder = folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    in_use = _libraries()
    say("Two made-up shops share a colour. Shops, people, numbers and spectra are invented.", bold=True)
    for name, content in export_files().items():
        (folder / name).write_bytes(content)
    for step in story(folder):
        if step.heading:
            heading(step.heading + ".")
        say()
        say(f"{SHOPS[step.shop]} $ sprayout {shlex.join(step.words)}".replace(str(folder), "."), fg="cyan")
        _play(folder / step.shop, BY[step.shop], step.words)
    if in_use.get("library"):
        _put_back(in_use)
    _tell_end(folder)


def as_typed() -> str:
    """Return what to type for the command: its name, or its whole path where a shell would not find it by that."""
    import shutil
    import sys

    program = Path(sys.argv[0])
    if program.stem.casefold() != "sprayout" or shutil.which("sprayout"):
        return "sprayout"
    return shlex.quote(str(program.absolute()))


def _libraries() -> dict[str, Any]:
    from sprayout_library.machine import shop_facts

    return shop_facts().all()


def _put_back(before: dict[str, Any]) -> None:
    """Whoever has a library in use goes on with it; a newcomer may look around in the demo's."""
    from sprayout_library.machine import shop_facts

    shop_facts().put("libraries", before.get("libraries"))
    shop_facts().put("library", before["library"])


def _play(copy: Path, by: str, words: tuple[str, ...]) -> None:
    """Run one command as the shop would, against its own copy and nobody's settings."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.main import DONE, run

    begins = words[0] in ("create", "join")
    where = () if begins else ("--library", str(copy))
    if (status := run([*where, "--by", by, *words])) != DONE:
        raise SprayoutError(
            f"`sprayout {words[0]}` left with status {status}", "This demo should run through: report it."
        )


def _tell_end(folder: Path) -> None:
    from sprayout_library.demo import SHOPS
    from sprayout_library.store import Store

    stands = []
    for copy in SHOPS:
        with Store.open(folder / copy) as store:
            stands.append((copy, store.head, sum(1 for _ in store.documents())))
    same = len({head for _, head, _ in stands}) == 1
    heading("The end: both copies hold the same, byte for byte." if same else "The end.")
    rows((copy, counted(documents, "document")) for copy, _, documents in stands)
    typed = as_typed()
    soft(f"Everything is kept in {folder}. Look around:")
    rows(
        [
            (f'cd "{folder / "fen-lane"}"', "then, in that folder:"),
            (typed, "what is on the bench"),
            (f'{typed} show "Kelp glass"', "what is in it, was it sprayed"),
            (f"{typed} compare KF-1 KF-4", "two panels, in words, then numbers"),
            (f"{typed} pages", "the same in a browser"),
            (f"{typed} create FOLDER", "a library of your own"),
        ]
    )
