"""How far a large file has been read, on one line of a terminal that is written over and then taken away."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from sprayout_core.tables import Source

__all__ = ["seen_going"]

_LARGE = 4_000_000


def seen_going(source: Source, doing: str, out: TextIO | None = None) -> Source:
    """Return a source that tells how far it was read, where somebody watches and it is large; else the same.

    doing  what is being done, in a few words
    out    where to tell it; by default the terminal, if there is one
    """
    from sprayout_core.tables import counted

    screen = out or sys.stderr
    if source.size < _LARGE or not screen.isatty():
        return source
    told = [-1]

    def tell(done: int) -> None:
        share = min(100 * done // source.size, 100)
        if share == told[0]:
            return
        told[0] = share
        line = f"  {doing}: {share} %"
        screen.write(f"\r{line}" if share < 100 else "\r" + " " * len(line) + "\r")
        screen.flush()

    return counted(source, tell)
