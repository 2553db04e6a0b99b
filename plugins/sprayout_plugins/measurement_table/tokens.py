"""Words of a measurement table's line: bare words, quoted strings and comments."""

from __future__ import annotations

import re

__all__ = ["quoted", "split"]

_WORD = re.compile(r'\s*(?:"((?:[^"]|"")*)"(?=\s|\Z|#)|([^\s"#]+)(?=\s|\Z|#)|(#.*\Z))')


def split(line: str) -> list[str] | None:
    """Return a line's words without its comment; None where a quotation mark stands in the wrong place.

    Inside quotation marks a doubled mark stands for one.
    """
    found: list[str] = []
    plain = line.strip()
    at = 0
    while at < len(plain):
        word = _WORD.match(plain, at)
        if not word:
            return None
        if word[3] is not None:
            break
        found.append(word[2] if word[2] is not None else word[1].replace('""', '"'))
        at = word.end()
    return found


def quoted(text: str) -> str:
    """Return a text as a quoted string."""
    return '"' + text.replace('"', '""') + '"'
