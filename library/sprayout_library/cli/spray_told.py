"""How a spray day is told on a terminal: the recipe's lines, the pieces with their coats, flat cards."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sprayout_library.cli.told import heading, rows, soft

if TYPE_CHECKING:
    from sprayout_library.session.tally import Line, Tally

__all__ = ["line_words", "piece_rows", "seen_rows", "suggest_cards"]


def line_words(line: Line) -> str:
    """Return a line of the coat schedule: how many, through what, how laid, when the next may follow."""
    from sprayout_library.session import dry_words

    dry = dry_words(line.dry)
    said = [f"{line.name} {line.count}" if line.count == "until covered" else f"{line.count} {line.name}"]
    said += [f"through {line.spray_ready}"] if line.spray_ready else []
    said += [f"laid {line.laid}"] if line.laid else []
    return ", ".join(said) + (f"; next coat when {dry}" if dry else "")


def piece_rows(tally: Tally, only: set[str] | None = None) -> None:
    """Print the pieces, or only some, with what is on them and how long ago."""
    from sprayout_library.session import piece_words, since_words

    now = datetime.now(UTC)
    table = []
    for piece in tally.pieces.values():
        if only is None or piece.name in only:
            where = f"over {piece.ground_name}" + (", curved" if piece.shape == "curved" else "")
            state = "off the stand" if piece.off else since_words(piece.last, now)
            table.append((piece.name, where, piece_words(piece, tally), state))
    rows(table)


def seen_rows(tally: Tally) -> None:
    """Print the judgements and pictures made on the way, and how long ago; nothing where there are none."""
    from sprayout_library.session import since_words

    if tally.seen:
        heading("Seen on the way")
        now = datetime.now(UTC)
        rows([(one.kind, one.told, since_words(one.at, now)) for one in tally.seen])


def suggest_cards(tally: Tally) -> None:
    """Print which flat card to spray along with each curved piece that has none."""
    from sprayout_library.session import companions

    for name, words in companions(tally):
        soft(f'  {name} is curved: a flat card tells its colour too: sprayout spray piece "{words}"')
