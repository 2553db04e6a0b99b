"""sprayout watch: take in each finished table of a folder."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import PartlyDone, counted, say, soft

if TYPE_CHECKING:
    from sprayout_library.store import Store


@click.command("watch")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--set", "options", multiple=True, metavar="OPTION=VALUE", help="What its tables do not say; repeat it.")
@click.option("--once", "way", flag_value="once", help="One pass over what is there, then stop.")
@click.option("--quiet", type=click.FloatRange(0.05, 3600), default=2.0, show_default=True, metavar="SECONDS",
              help="How long a file must stay unchanged before it is taken.")  # fmt: skip
@click.pass_obj
def command(desk: Desk, /, folder: Path, options: tuple[str, ...], way: str | None, quiet: float) -> None:
    """Take in each finished table of FOLDER; Ctrl-C stops it. Files are never changed.

    \b
    sprayout watch exports --set scale=percent --set geometry=45:0 --set stage=bare
    """
    from sprayout_library.inbox.taking import options_from_words

    given = options_from_words(options)
    done: dict[Path, tuple[int, int, int]] = {}
    left = 0
    with desk.store() as store:
        try:
            while True:
                before = _signatures(folder)
                time.sleep(quiet)
                now = _signatures(folder)
                for path in sorted(
                    path for path in now if now[path] == before.get(path) and done.get(path) != now[path]
                ):
                    left += _take(desk, store, path, given)
                    done[path] = now[path]
                if way == "once" and all(done.get(path) == seen for path, seen in now.items()):
                    break
        except KeyboardInterrupt:
            soft("Stopped.")
    if left:
        raise PartlyDone(f"{counted(left, 'file')} not taken whole", "Mend what is told above, then run it again.")


def _signatures(folder: Path) -> dict[Path, tuple[int, int, int]]:
    found = {}
    for path in folder.rglob("*"):
        if path.is_file() and not path.name.startswith((".", "~")) and path.suffix.lower() not in (".tmp", ".part"):
            seen = path.stat()
            found[path] = (seen.st_size, seen.st_mtime_ns, seen.st_ino)
    return found


def _take(desk: Desk, store: Store, path: Path, given: dict[str, str]) -> int:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.inbox.taking import preview_of, take_in

    try:
        previews = preview_of(path, given)
        plugin, preview = previews.chosen()
        if not preview.ready:
            asked = " ".join(f"--set {question.option}=..." for question in preview.questions)
            say(f"{path.name}: not taken. {'; '.join(map(str, preview.faults)) or 'It asks: ' + asked}", fg="yellow")
            return 1
        store.refresh()
        desk.renamed()
        taken = take_in(
            desk.writer(store), desk.names(store), previews.source, plugin, given, None, f"Readings from {path.name}"
        )
    except SprayoutError as error:
        say(f"{path.name}: not taken. {error}", fg="yellow")
        return 1
    say(f"{path.name}: {counted(len(taken.fresh), 'reading')} taken in, {len(taken.known)} known already.")
    for line, reason in taken.left_out[:10]:
        say(f"  line {line} left out: {reason}", fg="yellow")
    return int(bool(taken.left_out))
