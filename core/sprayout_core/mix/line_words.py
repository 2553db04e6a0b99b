"""The words of a one-line mix: names, numbers, separators, each with the place where it stands."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import Enum

from sprayout_core.errors import SprayoutError

__all__ = ["LineError", "Tag", "Word", "plain", "quoted", "tight_commas", "words_of"]

#: Signs that phones and word processors put in place of the plain ones; same length, so places stay true.
_PLAIN = str.maketrans({"“": '"', "”": '"', "„": '"', "∶": ":", "−": "-", "\u00a0": " ", "\u202f": " "})

_WORD = re.compile(
    r"""
      (?P<quote>"(?:[^"]|"")*")                                 # "silver, coarse"
    | (?P<comma>(?<=[0-9]),(?=[0-9]))                           # 2,5: decided by the reader, see tight_commas
    | (?P<sign>[:;,=]|(?<!\S)\+(?=\s))                          # a separator, or the = after the title
    | (?P<word>(?:[^\s:;,="]|(?<=[0-9]),(?=[0-9]))+)            # anything else without a blank in it
    """,
    re.VERBOSE,
)
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]+)*|[0-9]+/[0-9]+)")
_GLUED_UNIT = re.compile(r"(?P<number>[0-9]+(?:[.,][0-9]+)*)(?P<unit>g/l)", re.IGNORECASE)


class LineError(SprayoutError):
    """A one-line mix that cannot be taken as typed.

    position  the character it is about, counted from 1
    readings  the readings between which the line does not decide, where that is the trouble
    """

    def __init__(self, position: int, problem: str, remedy: str, readings: tuple[str, ...] = ()) -> None:
        self.position = position
        self.readings = readings
        super().__init__(problem, remedy, place=f"character {position}")


class Tag(Enum):
    """What a word of the line is."""

    NUMBER = "number"
    UNIT = "unit"
    NAME = "name"
    SEPARATOR = "separator"
    TITLE_END = "title end"


@dataclass(frozen=True, slots=True)
class Word:
    """One word: what it is, its text as meant (quotes taken off), and its character counted from 1."""

    tag: Tag
    text: str
    position: int
    was_quoted: str = ""


def plain(text: str) -> str:
    """Return the line with curly quotes, ratio signs and hard blanks as plain ones, places unchanged."""
    return text.translate(_PLAIN)


def quoted(name: str) -> str:
    """Return a name in quotes, its own quotes doubled."""
    return '"' + name.replace('"', '""') + '"'


def tight_commas(text: str) -> list[int]:
    """Return the index of each comma outside quotes with a digit right before and right after it."""
    found, inside = [], False
    for index, sign in enumerate(text):
        if sign == '"':
            inside = not inside
        elif sign == "," and not inside and _digit(text[index - 1 : index]) and _digit(text[index + 1 : index + 2]):
            found.append(index)
    return found


def words_of(text: str) -> list[Word]:
    """Return the words of a plain line; tight commas are taken as decimal marks.

    Raises LineError for a quote that is never closed.
    """
    words: list[Word] = []
    index = 0
    while index < len(text):
        if text[index].isspace():
            index += 1
            continue
        match = _WORD.match(text, index)
        if match is None:
            raise LineError(index + 1, "a quote is opened and never closed", 'Close it with ".')
        words.extend(_tagged(match))
        index = match.end()
    return words


def _tagged(match: re.Match[str]) -> list[Word]:
    text, position = match[0], match.start() + 1
    if match.lastgroup == "quote":
        return [Word(Tag.NAME, _name(text[1:-1].replace('""', '"')), position, text)]
    if match.lastgroup in ("sign", "comma"):
        return [Word(Tag.TITLE_END if text == "=" else Tag.SEPARATOR, text, position)]
    if _NUMBER.fullmatch(text):
        return [Word(Tag.NUMBER, text, position)]
    if text.lower() == "g/l":
        return [Word(Tag.UNIT, "g/l", position)]
    if glued := _GLUED_UNIT.fullmatch(text):
        after = position + len(glued["number"])
        return [Word(Tag.NUMBER, glued["number"], position), Word(Tag.UNIT, "g/l", after)]
    return [Word(Tag.NAME, _name(text), position)]


def _name(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).split())


def _digit(text: str) -> bool:
    return text.isascii() and text.isdigit()
