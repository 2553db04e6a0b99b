"""sprayout judge: by eye: pieces in order, the closest two, or one against another, in a named light."""

from __future__ import annotations

from typing import Any, get_args

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft

WAYS = ("order", "pair", "compare")


def qualities() -> tuple[str, ...]:
    """Return the words for what an eye can order by."""
    from sprayout_core.documents import Judgement

    return tuple(word for word in get_args(Judgement.model_fields["quality"].annotation) if word != "closest")


@click.command("judge")
@click.argument("way", type=click.Choice(WAYS))
@click.argument("words", nargs=-1, metavar="[QUALITY] PIECES...")
@click.option("--light", required=True, metavar="WORDS", help="The light it was seen in: D65, shop LED, direct sun ...")
@click.option("--against", metavar="PIECE", help="What the piece was held against, for compare.")
@click.option("--where", type=click.Choice(["face", "middle", "flop"]), help="Where on the travel it was seen.")
@click.option("--who", metavar="NAME", help="Whose eye it was; by default who works here.")
@click.option("--at", metavar="TIME", help="When, such as 2026-03-02T09:10:00Z; by default now.")
@click.option("--instead-of", metavar="JUDGEMENT", help="An earlier judgement that this one corrects.")
@click.pass_obj
def command(
    desk: Desk, /, way: str, words: tuple[str, ...], light: str, against: str | None, where: str | None,
    who: str | None, at: str | None, instead_of: str | None,
) -> None:  # fmt: skip
    """Record what was seen by eye. It is kept as it is, never averaged with readings.

    \b
    sprayout judge order lighter KF-1 KF-3 KF-2 --light D65      most of it first; KF-1=KF-3 look the same
    sprayout judge pair KF-1 KF-3 --light "shop LED"             the closest two
    sprayout judge compare warmer KF-2/5 --against KF-1 --light "direct sun"
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import now_text
    from sprayout_library.record.pieces import piece_from_words, tied_from_words

    quality, pieces = said_by_eye(way, words, against)
    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        tied = tied_from_words(pieces, names, store)
        facts: dict[str, Any] = {
            "way": way,
            "quality": quality,
            "pieces": [[piece.model_dump(exclude_none=True) for piece in group] for group in tied],
            "light": light,
            "where": where,
            "by": who or writer.by,
            "at": at or now_text(writer.clock()),
        }
        if against:
            held = piece_from_words(against, names, store)
            if held == tied[0][0]:
                raise SprayoutError("a piece was held against itself", "Name another one with --against.")
            facts["against"] = held.model_dump(exclude_none=True)
        if instead_of:
            facts["supersedes"] = names.find(instead_of, "judgement").id
        document = writer.new("judgement", facts)
        from sprayout_library.record.seen import told_judgement

        told = told_judgement(document, names)
        writer.save([document], f"By eye: {told}"[:150])
        say(f"By eye, {told}.")
        soft(
            f"Do people agree: sprayout eyes {quality}"
            if way == "order"
            else f"sprayout show {names.label(tied[0][0].panel)}"
        )


def said_by_eye(way: str, words: tuple[str, ...], against: str | None) -> tuple[str, tuple[str, ...]]:
    """Return the quality and the pieces of the words given. Raises SprayoutError for too few, or words that clash."""
    from sprayout_core.errors import SprayoutError

    if way != "compare" and against:
        raise SprayoutError("--against goes with compare", "Write: compare warmer PIECE --against OTHER.")
    if way == "compare" and not against:
        raise SprayoutError("compared with nothing", "Give --against PIECE.")
    quality, pieces = ("closest", words) if way == "pair" else (words[0] if words else "", words[1:])
    known = ", ".join(qualities())
    if way != "pair" and quality not in qualities():
        raise SprayoutError(f"{quality!r} is nothing to order by", f"Use one of: {known}; then the pieces.")
    least, most = {"order": (2, 60), "pair": (2, 2), "compare": (1, 1)}[way]
    count = sum(len(word.split("=")) for word in pieces)
    if not least <= count <= most:
        wanted = {"order": "at least two pieces", "pair": "two pieces", "compare": "one piece, and --against another"}
        raise SprayoutError(f"{count} pieces", f"Name {wanted[way]}.")
    return quality, pieces
