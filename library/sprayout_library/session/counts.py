"""Counting coats honestly: what was counted, what was about so many, and what was until it covered."""

from __future__ import annotations

import re
from collections.abc import Iterable

from sprayout_core.errors import SprayoutError

__all__ = ["MOST", "added", "checked", "least"]

#: More coats than this on one piece are taken for a slip of the finger.
MOST = 99

_COUNT = re.compile(r"until covered|(about )?([1-9][0-9]?)|([1-9][0-9]?) to ([1-9][0-9]?)", re.ASCII)


def checked(words: str) -> str:
    """Return a count as documents write it: 5, 4 to 5, about 5, until covered. Raises SprayoutError."""
    text = " ".join(words.lower().split())
    match = _COUNT.fullmatch(text)
    if not match or (match[4] and int(match[4]) <= int(match[3])):
        raise SprayoutError(f"{words!r} is no count of coats", "Say 1, 4 to 5, about 5, or until covered.")
    return text


def added(counts: Iterable[str]) -> str:
    """Return several counts as one: 1 and 1 is 2, 2 and "about 3" is "about 5", nothing more is known than was.

    One "until covered" among them makes the whole "until covered": nobody counted that one.
    """
    low, high, about = 0, 0, False
    for count in counts:
        if count == "until covered":
            return "until covered"
        about = about or count.startswith("about ")
        fewest, _, most = count.removeprefix("about ").partition(" to ")
        low, high = low + int(fewest), high + int(most or fewest)
    if high > MOST:
        raise SprayoutError(f"{high} coats on one piece", f"A panel has up to {MOST}; begin another.")
    if about:
        return f"about {(low + high + 1) // 2}"
    return str(low) if low == high else f"{low} to {high}"


def least(count: str) -> int | None:
    """Return the fewest coats a count stands for; None for "until covered"."""
    if count == "until covered":
        return None
    return int(count.removeprefix("about ").partition(" to ")[0])
