"""From bytes to lines: which encoding, which line ends, and lines of bounded length."""

from __future__ import annotations

import codecs
import io
from collections.abc import Iterator
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Source

__all__ = ["LINE_CHARACTERS", "Encoding", "encoding", "finished", "has_sections", "is_binary", "lines"]

LINE_CHARACTERS = 1 << 20
"""The longest line that is read, in characters; a longer one is no table row."""

_PIECE = 1 << 20
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)
NAMES = {
    "utf-8": "utf-8",
    "utf-8-sig": "utf-8-sig",
    "utf-16": "utf-16",
    "utf-16-le": "utf-16-le",
    "utf-16-be": "utf-16-be",
    "utf-32": "utf-32",
    "windows-1252": "cp1252",
    "iso-8859-1": "iso8859-1",
    "iso-8859-15": "iso8859-15",
    "windows-1250": "cp1250",
    "windows-1251": "cp1251",
    "mac-roman": "mac-roman",
}
"""Encodings that can be told, by the names people use, with Python's own."""


@dataclass(frozen=True, slots=True)
class Encoding:
    """How the bytes are text: the name, whether it was seen, told or assumed, and by what."""

    name: str
    how: str
    why: str


def encoding(source: Source, told: str | None) -> Encoding:
    """Return a source's encoding: told, else byte order mark, zero bytes, strict UTF-8, and last
    Windows-1252 (assumed).

    Raises SprayoutError where the bytes do not fit, or are no text at all.
    """
    chosen = Encoding(told, "told", "") if told else _found(source)
    _check(source, chosen)
    return chosen


def _found(source: Source) -> Encoding:
    with source.open() as stream:
        head = stream.read(4096)
    for mark, name, words in _MARKS:
        if head.startswith(mark):
            return Encoding(name, "seen", f"a byte order mark of {words}")
    if len(head) >= 4 and (zeros := _zero_bytes(head)):
        return Encoding(zeros, "seen", "every other byte is zero")
    try:
        _check(source, Encoding("utf-8", "seen", ""))
    except UnicodeDecodeError as wrong:
        if wrong.reason == "unexpected end of data" and not wrong.object[wrong.end :]:
            raise SprayoutError(
                "the file ends inside a character of UTF-8",
                "Was it cut? Export it again; if it is not UTF-8, tell the option encoding.",
                place=source.name,
            ) from None
        return Encoding("windows-1252", "assumed", "it is not UTF-8 and has no byte order mark")
    return Encoding("utf-8", "seen", "all of it is valid UTF-8")


def _zero_bytes(head: bytes) -> str:
    even, odd = head[0::2].count(0), head[1::2].count(0)
    half = len(head) // 2
    if odd > 0.4 * half and even < 0.05 * half:
        return "utf-16-le"
    if even > 0.4 * half and odd < 0.05 * half:
        return "utf-16-be"
    return ""


def _check(source: Source, chosen: Encoding) -> None:
    """Decode everything once, piece by piece; tell where it fails."""
    decoder = codecs.getincrementaldecoder(NAMES[chosen.name])("strict")
    line = 1
    with source.open() as stream:
        while True:
            piece = stream.read(_PIECE)
            try:
                text = decoder.decode(piece, final=not piece)
            except UnicodeDecodeError as wrong:
                if chosen.how == "seen" and chosen.name == "utf-8":
                    raise
                line += wrong.object[: wrong.start].decode(NAMES[chosen.name], "ignore").count("\n")
                raise SprayoutError(
                    f"the bytes here are not {chosen.name}",
                    "Export the table again as UTF-8, or tell its encoding with the option encoding.",
                    place=f"{source.name}, line {line}",
                ) from None
            if "\0" in text:
                raise SprayoutError(
                    "there is a zero character, so this is no text table",
                    "Export the readings as text (CSV).",
                    place=f"{source.name}, line {line + text[: text.index(chr(0))].count(chr(10))}",
                )
            line += text.count("\n")
            if not piece:
                return


def lines(source: Source, name: str) -> Iterator[str]:
    """Yield a source's lines with their line ends (CR, LF or CRLF); one that is too long raises
    SprayoutError.
    """
    with source.open() as stream, io.TextIOWrapper(stream, encoding=NAMES[name], newline="") as text:
        number = 0
        while line := text.readline(LINE_CHARACTERS):
            number += 1
            if len(line) >= LINE_CHARACTERS:
                raise SprayoutError(
                    f"the line is longer than {LINE_CHARACTERS} characters",
                    "Export the table with one reading per line.",
                    place=f"{source.name}, line {number}",
                )
            yield line


def finished(line: str) -> bool:
    """Say whether a line has its line end."""
    return line.endswith(("\n", "\r"))


def has_sections(source: Source) -> bool:
    """Say whether a file has the section marks of an open measurement table (ISO 28178, CGATS.17)."""
    with source.open() as stream:
        start = stream.read(1 << 16).replace(b"\0", b"")
    marks = (b"BEGIN_DATA", b"END_DATA", b"NUMBER_OF_SETS", b"NUMBER_OF_FIELDS")
    return any(line.lstrip().startswith(marks) for line in start.replace(b"\r", b"\n").split(b"\n"))


def is_binary(source: Source) -> bool:
    """Say whether a file begins with control characters that no text has (but for the zeros of UTF-16
    and UTF-32).
    """
    with source.open() as stream:
        start = stream.read(4096)
    if any(start.startswith(mark) for mark, _, _ in _MARKS) or _zero_bytes(start):
        return False
    return any(byte < 9 or 13 < byte < 32 for byte in start)
