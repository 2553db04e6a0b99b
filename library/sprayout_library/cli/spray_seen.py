"""sprayout spray judge and picture: what was seen of pieces on the stand, kept with the taps of the day."""

from __future__ import annotations

from pathlib import Path

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.judge import WAYS, said_by_eye
from sprayout_library.cli.picture import picture_bytes, tilt_in
from sprayout_library.cli.spray_running import SESSION, now_tap, running_session
from sprayout_library.cli.told import say, soft

__all__ = ["judge", "picture"]


@click.command("judge")
@click.argument("way", type=click.Choice(WAYS))
@click.argument("words", nargs=-1, metavar="[QUALITY] PIECES...")
@click.option("--light", required=True, metavar="WORDS", help="The light it was seen in: D65, shop LED, direct sun ...")
@click.option("--against", metavar="PIECE", help="For compare: another piece on the stand, or a panel that is saved.")
@click.option("--where", type=click.Choice(["face", "middle", "flop"]), help="Where on the travel it was seen.")
@click.option("--who", metavar="NAME", help="Whose eye it was; by default who works here.")
@SESSION
@click.pass_obj
def judge(
    desk: Desk, /, way: str, words: tuple[str, ...], light: str, against: str | None, where: str | None,
    who: str | None, session: str | None,
) -> None:  # fmt: skip
    """Seen by eye on the way, of PIECES on the stand. It is on the disk when this returns, saved with the panels.

    \b
    sprayout spray judge order lighter K1 K3 K2 --light D65      most of it first; K1=K3 look the same
    sprayout spray judge pair K1 K3 --light "shop LED"           the closest two
    sprayout spray judge compare warmer K2 --against KF-1 --light "direct sun"
    """
    from sprayout_library.session import Look, judgement_tap

    quality, pieces = said_by_eye(way, words, against)
    with desk.store() as store:
        writer = desk.writer(store)
        running = running_session(store, session)
        at = now_tap()
        look = Look(way, quality, pieces, light, who or writer.by, against, where)
        seen = running.see(judgement_tap(look, running.tally, desk.names(store), writer, at), at)
        say(f"By eye, {seen.told}.")
        soft("Kept; saved with the panels: sprayout spray finish")


@click.command("picture")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--piece", "pieces", multiple=True, required=True, metavar="PIECE", help="What it shows; repeat it, left to right."
)
@click.option("--light", metavar="WORDS", help="The light: D65, shop LED, direct sun ...")
@click.option("--tilt", metavar="DEGREES", help="How far the piece was tilted, -180 to 180; 0 is facing the light.")
@click.option("--taken", metavar="TIME", help="When it was taken, such as 2026-03-02T09:10:00Z.")
@click.option("--title", help="What it is called.")
@SESSION
@click.pass_obj
def picture(
    desk: Desk, /, file: Path, pieces: tuple[str, ...], light: str | None, tilt: str | None, taken: str | None,
    title: str | None, session: str | None,
) -> None:  # fmt: skip
    """The picture in FILE (JPEG, PNG, TIFF), of pieces on the stand. It is on the disk when this returns.

    It is written anew without anything but its pixels: where it was taken, and by which camera, stays out.
    """
    from sprayout_library.session import Shot, picture_tap

    content = picture_bytes(file)
    with desk.store() as store:
        running = running_session(store, session)
        shot = Shot(content, pieces, light, tilt_in(tilt), taken, title)
        seen = running.see(picture_tap(shot, running.tally, desk.names(store), desk.writer(store)), now_tap())
        say(f"Picture kept: {seen.told}.")
        soft("Saved with the panels: sprayout spray finish")
