"""sprayout pack: one file with a recipe and everything it needs, for another shop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.guessed import tell_guesses
from sprayout_library.cli.told import heading, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Document
    from sprayout_library.store import Store


@click.command("pack")
@click.argument("names", nargs=-1, required=True)
@click.option("--to", "file", type=click.Path(path_type=Path), help="The file; by default NAME.packet here.")
@click.option("--pictures", "way", flag_value="sources", help="The pictures and tables themselves go along.")
@click.option("--replace", "old", flag_value="replace", help="Write over a file that is there.")
@click.option("--yes", "sure", flag_value="yes", help="Also where something in it is marked private.")
@click.pass_obj
def command(
    desk: Desk, /, names: tuple[str, ...], file: Path | None, way: str | None, old: str | None, sure: str | None
) -> None:
    """Pack NAMES (recipes, mixes, panels) with what they need, their panels and what was seen of those.

    What a stranger would have to guess is listed before it goes out; it goes along. What is marked private, by a
    tag "private" or a note that begins with "private:", is named and asked about first.
    """
    from sprayout_library.cli.leaving import ask_private
    from sprayout_library.packet import gathered, packet_bytes
    from sprayout_library.record import kind_said, now_text
    from sprayout_library.record.writer import tool_name

    with desk.store() as store:
        called = desk.names(store)
        about = list({one.id: one for one in (desk.document(store, name) for name in names)}.values())
        manifest = desk.manifest(store)
        writer = desk.writer(store)
        sent = {
            "from": manifest.name if manifest else "",
            "shop": called.label(writer.shop) if writer.shop else "",
            "by": writer.by,
            "at": now_text(writer.clock()),
            "tool": tool_name(),
        }
        packet = gathered(store, about, sent, called.label, {})
        if sure is None:
            ask_private(store, packet.documents.values(), "sprayout pack " + " ".join(f'"{name}"' for name in names))
        if way == "sources":
            packet = gathered(store, about, sent, called.label, _sources(store, list(packet.documents.values())))
        content = packet_bytes(packet)
        target = file or Path(f"{_plain(about[0].name)}.packet")
        _put(target, content, old)
        _sign(store, target, content)
        say(f"{target}: {len(packet.documents)} documents, {max(1, len(content) // 1000)} kB.", bold=True)
        counts: dict[str, int] = {}
        for document in packet.documents.values():
            said = kind_said(document.kind)
            counts[said] = counts.get(said, 0) + 1
        rows([(kind, str(count)) for kind, count in sorted(counts.items())])
        if packet.sources:
            rows([("source", str(len(packet.sources)))])
        if packet.gaps:
            heading("What a stranger would have to guess")
            tell_guesses((about, question, "") for about, question in packet.gaps)
        soft(f"There: sprayout unpack {target.name}")


def _put(target: Path, content: bytes, old: str | None) -> None:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.machine import write_whole
    from sprayout_library.packet import shown

    place = shown(str(target))
    try:
        if target.is_dir():
            raise SprayoutError("is a folder", "Name the file, such as KF.packet.", place=place)
        if target.exists() and old is None:
            raise SprayoutError("is there already", "Name another with --to, or give --replace.", place=place)
        write_whole(target, content)
    except OSError as error:
        raise SprayoutError(f"cannot be written: {error.strerror}", "Choose another place.", place=place) from None
    except ValueError:
        raise SprayoutError("is no file name", "Choose another one.", place=place) from None


def _sign(store: Store, target: Path, content: bytes) -> None:
    """Put a signature beside the packet where this copy has a key; one that belonged to an older file goes."""
    from sprayout_library.machine import write_whole
    from sprayout_library.trust import sign_packet

    beside = target.with_name(target.name + ".sig")
    if signature := sign_packet(store, content):
        write_whole(beside, (signature + "\n").encode("ascii"))
        soft(f"{beside.name} signs it: send both.")
    else:
        beside.unlink(missing_ok=True)


def _plain(name: str) -> str:
    kept = "".join(sign if sign.isalnum() or sign in "-_ " else "-" for sign in name).strip(" .-")
    return kept[:60] or "sprayout"


def _sources(store: Store, documents: list[Document]) -> dict[str, bytes]:
    from sprayout_library.sources import Sources, digests_named

    kept = Sources(store.folder)
    found = {digest: kept.content(digest) for digest in sorted(digests_named(documents)) if kept.has(digest)}
    return {digest: content for digest, content in found.items() if content is not None}
