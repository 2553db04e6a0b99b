"""Words and blocks that the film commands share."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.light import View

__all__ = ["counted_coats", "counts_from_words", "lab_from_words", "swatch_of"]


def counts_from_words(words: str) -> list[float]:
    """Return counts of coats from "1,2,4" or "1 to 6". Raises SprayoutError for anything else."""
    span = re.fullmatch(r"\s*(\d{1,2})\s*to\s*(\d{1,2})\s*", words)
    if span and 0 < int(span[1]) <= int(span[2]) <= 30:
        return [float(count) for count in range(int(span[1]), int(span[2]) + 1)]
    counts = [part.strip() for part in words.split(",")]
    if not all(re.fullmatch(r"\d{1,2}", count) and 0 < int(count) <= 30 for count in counts):
        raise SprayoutError(f"{words!r} is no list of coats", "Write 1,2,4 or 1 to 6, at most 30.")
    return [float(count) for count in dict.fromkeys(counts)]


def counted_coats(coats: float) -> str:
    """Return a count with its word: 1 coat, 2 coats, 2.5 coats."""
    return f"{coats:g} coat" if coats == 1 else f"{coats:g} coats"


def lab_from_words(words: str) -> list[float] | None:
    """Return L* a* b* from three numbers apart by blanks, or None where the words are something else."""
    parts = words.replace(",", " ").split()
    if len(parts) != 3:
        return None
    try:
        return [float(part) for part in parts]
    except ValueError:
        return None


def swatch_of(lab: Any, view: View) -> str:
    """Return a colour's screen value, with a star where the screen cannot show it."""
    from sprayout_core.light import hexadecimal, srgb

    screen = srgb(lab, view)
    return str(hexadecimal(screen.rgb)) + ("" if bool(screen.in_gamut) else "*")
