"""sprayout picture: a picture of pieces, with light and tilt; its position data never gets in."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft


@click.command("picture")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--of", "pieces", multiple=True, metavar="PIECE", help="What it shows; repeat it, left to right.")
@click.option("--cup", metavar="CUP", help="The cup whose flow off the stick it shows.")
@click.option("--light", metavar="WORDS", help="The light: D65, shop LED, direct sun ...")
@click.option("--tilt", metavar="DEGREES", help="How far the piece was tilted, -180 to 180; 0 is facing the light.")
@click.option("--taken", metavar="TIME", help="When it was taken, such as 2026-03-02T09:10:00Z.")
@click.option("--title", help="What it is called.")
@click.pass_obj
def command(
    desk: Desk, /, file: Path, pieces: tuple[str, ...], cup: str | None, light: str | None, tilt: str | None,
    taken: str | None, title: str | None,
) -> None:  # fmt: skip
    """Add the picture in FILE (JPEG, PNG, TIFF): a small one into the library, the whole one beside it.

    It is written anew without anything but its pixels: where it was taken, and by which camera, stays out.
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.pieces import piece_from_words, piece_name
    from sprayout_library.sources import Sources, digest_of, prepared

    if not pieces and not cup:
        raise SprayoutError("what does it show?", "Give --of PIECE, or --cup CUP for the flow off the stick.")
    content = picture_bytes(file)
    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        shows = [piece_from_words(words, names, store) for words in pieces]
        if len({(one.panel, one.zone, one.step) for one in shows}) != len(shows):
            raise SprayoutError("a piece stands twice", "Name each piece once.")
        original = digest_of(content)
        for known in store.documents("picture"):
            if known.provenance.source == original:
                raise SprayoutError(
                    f"this picture is here already ({known.name})", "Nothing was changed.", place=file.name
                )
        made = prepared(content)
        batch = names.find(cup, "batch") if cup else None
        facts: dict[str, Any] = {
            "cup": batch.id if batch else None,
            "image": digest_of(made.image),
            "media": made.media,
            "bytes": len(made.image),
            "shows": [piece.model_dump(exclude_none=True) for piece in shows],
            "light": light,
            "tilt_deg": tilt_in(tilt),
            "taken_at": taken,
            "thumbnail": base64.b64encode(made.thumbnail).decode("ascii"),
            "title": title,
        }
        document = writer.new("picture", facts, source=original)
        Sources(store.folder).keep(made.image)
        told = ", ".join([*(piece_name(piece, names) for piece in shows), *([batch.name] if batch else [])])
        writer.save([document], f"Picture of {told}"[:150])
        say(
            f"{told}: picture added, {made.width} by {made.height}, small one {max(1, len(made.thumbnail) // 1000)} kB."
        )
        soft("The whole one is kept beside the library; `sprayout pack --pictures` sends it along.")


def picture_bytes(file: Path) -> bytes:
    """Return the bytes of a file that may be a picture. Raises SprayoutError for one not read, or too large."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.packet import shown
    from sprayout_library.sources import LARGEST_SOURCE

    place = shown(str(file))
    try:
        if not file.is_file():
            raise SprayoutError("is no plain file" if file.exists() else "is not there", "Check the name.", place=place)
        if file.stat().st_size > LARGEST_SOURCE:
            raise SprayoutError(
                f"{file.stat().st_size // 1_000_000} MB", f"At most {LARGEST_SOURCE // 1_000_000}.", place=place
            )
        return file.read_bytes()
    except OSError as error:
        raise SprayoutError(f"cannot be read: {error.strerror}", "Check its permissions.", place=place) from None
    except ValueError:
        raise SprayoutError("is no file name", "Check the name.") from None


def tilt_in(text: str | None) -> float | int | None:
    """Return a tilt in degrees as it was typed. Raises SprayoutError beyond -180 to 180."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.ratio import exact

    if text is None:
        return None
    sign = -1 if text.strip().startswith("-") else 1
    value = sign * exact(text.strip().removeprefix("-").removesuffix("°").strip().replace(",", "."))
    if not -180 <= value <= 180:
        raise SprayoutError(f"{text!r} is no tilt", "Give -180 to 180 degrees.")
    return int(value) if value.denominator == 1 else float(value)
