"""A mix written in one line, names glued to numbers, and read back the same way."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from sprayout_core.mix.line_checks import check_parts, looks_like_number
from sprayout_core.mix.line_words import LineError, Tag, Word, plain, quoted, tight_commas, words_of
from sprayout_core.ratio import exact

__all__ = ["Line", "LineError", "Part", "parse_line", "read_back"]

Basis = Literal["volume", "mass"]
Unit = Literal["g/l"]

_LONGEST = 2_000
_BASES: dict[str, Basis] = {"volume": "volume", "mass": "mass", "weight": "mass"}
_EXAMPLE = "Write it like 5 weak teal : 2 strong teal."


@dataclass(frozen=True, slots=True)
class Part:
    """One component of a line: how much of it, the number as it was typed, and its name.

    unit  None for parts; "g/l" for grams per litre of the liquid parts (dry pearl or flake)
    """

    amount: Fraction
    as_typed: str
    name: str
    unit: Unit | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """A mix as one line says it; basis is None where the line does not say by volume or by mass."""

    title: str | None
    basis: Basis | None
    parts: tuple[Part, ...]


def parse_line(text: str) -> Line:
    """Read a mix written in one line, such as "Kelp glass = 5 weak teal : 2 strong teal by volume".

    A part is a number and a name, in either order; parts stand apart by ":" (or ";", a comma with a
    blank, a plus with blanks). Numbers are decimal text or quotients such as 1/3. A name in quotes may
    hold anything. "12 g/l silver pearl" is grams per litre of the liquid parts. Raises LineError with
    the character and a remedy for whatever could be read in two ways; numbers without names always are.
    """
    if len(text) > _LONGEST:
        raise LineError(_LONGEST, f"the line is longer than {_LONGEST} characters", "Write one mix a line.")
    line = plain(text)
    commas = tight_commas(line)
    _check_commas(line, commas)
    try:
        return _parsed(line)
    except LineError as error:
        if commas and (apart := _parsed_apart(line, commas)) is not None:
            raise _two_readings(line, commas[0], read_back(apart)) from error
        raise


def read_back(line: Line) -> str:
    """Return the line told with each name glued to its number; parse_line reads the same line from it."""
    title = f"{_told_title(line.title)} = " if line.title is not None else ""
    parts = " : ".join(f"{part.as_typed} {'g/l ' if part.unit else ''}{_told_name(part.name)}" for part in line.parts)
    return f"{title}{parts}{f' by {line.basis}' if line.basis else ''}"


def _parsed(line: str) -> Line:
    words = words_of(line)
    title, words = _title(line, words)
    basis, words = _basis(words)
    runs = _runs(line, words)
    check_parts(runs, basis)
    return Line(title, basis, tuple(_part(run) for run in runs))


def _title(line: str, words: list[Word]) -> tuple[str | None, list[Word]]:
    ends = [index for index, word in enumerate(words) if word.tag is Tag.TITLE_END]
    if not ends:
        return None, words
    if len(ends) > 1:
        raise LineError(words[ends[1]].position, "a second = in one line", "Put a name that holds = in quotes.")
    before = words[: ends[0]]
    if not before:
        raise LineError(words[ends[0]].position, "there is no name before the =", f"Name the mix. {_EXAMPLE}")
    if len(before) == 1 and before[0].was_quoted:
        title = before[0].text
    else:
        typed = line[: words[ends[0]].position - 1]
        title = " ".join(unicodedata.normalize("NFC", typed).split())
    if not title or looks_like_number(title):
        raise LineError(before[0].position, f"{title!r} is no name for a mix", "Name it in words.")
    return title, words[ends[0] + 1 :]


def _basis(words: list[Word]) -> tuple[Basis | None, list[Word]]:
    last = [word.text.lower() for word in words[-2:] if word.tag is Tag.NAME and not word.was_quoted]
    if len(last) == 2 and last[0] == "by" and last[1] in _BASES:
        return _BASES[last[1]], words[:-2]
    return None, words


def _runs(line: str, words: list[Word]) -> list[list[Word]]:
    """Cut the words at the separators; an empty stretch between two of them is refused."""
    if not words:
        raise LineError(len(line.rstrip()) + 1, "no parts are written", _EXAMPLE)
    runs: list[list[Word]] = [[]]
    for word in _without_parts(words):
        if word.tag is not Tag.SEPARATOR:
            runs[-1].append(word)
        elif runs[-1]:
            runs.append([])
        else:
            raise LineError(word.position, f"nothing stands before this {word.text!r}", "Drop it or name the part.")
    if not runs[-1]:
        raise LineError(words[-1].position, f"nothing stands after this {words[-1].text!r}", "Drop it.")
    return runs


def _without_parts(words: list[Word]) -> list[Word]:
    """Leave out "parts" (and "parts of") right after a number: the numbers are parts anyway."""
    kept: list[Word] = []
    skipped: Word | None = None
    for before, word in zip([None, *words], words, strict=False):
        text = word.text.lower() if word.tag is Tag.NAME and not word.was_quoted else ""
        after_number = before is not None and before.tag is Tag.NUMBER and text in ("part", "parts")
        if after_number or (before is not None and before is skipped and text == "of"):
            skipped = word if after_number else None
        else:
            kept.append(word)
    return kept


def _part(run: list[Word]) -> Part:
    number = next(word for word in run if word.tag is Tag.NUMBER)
    has_unit = any(word.tag is Tag.UNIT for word in run)
    name = " ".join(word.text for word in run if word.tag is Tag.NAME)
    return Part(exact(number.text.replace(",", ".")), number.text, name, "g/l" if has_unit else None)


def _check_commas(line: str, commas: list[int]) -> None:
    """Refuse the commas that could as well part thousands, and two kinds of decimal mark in one line."""
    for comma in commas:
        before = _digits_before(line, comma)
        after = _digits_after(line, comma)
        if len(after) == 3 and len(before) <= 3 and int(before) > 0:
            raise LineError(
                comma + 1,
                f"{before},{after} can be read as {before}.{after} or as {before}{after}",
                "Write a point for decimals and nothing between thousands.",
                (f"{before}.{after}", f"{before}{after}"),
            )
    points = [word for word in words_of(line) if word.tag is Tag.NUMBER and "." in word.text]
    if commas and points:
        raise LineError(
            commas[0] + 1,
            f"the line has a decimal comma here and a decimal point in {points[0].text}",
            "Use one of the two throughout.",
        )


def _digits_before(line: str, comma: int) -> str:
    start = comma
    while start and line[start - 1] in "0123456789":
        start -= 1
    return line[start:comma]


def _digits_after(line: str, comma: int) -> str:
    end = comma + 1
    while end < len(line) and line[end] in "0123456789":
        end += 1
    return line[comma + 1 : end]


def _parsed_apart(line: str, commas: list[int]) -> Line | None:
    """Return the line read with its tight commas as separators, or None where that reads as nothing."""
    signs = list(line)
    for comma in commas:
        signs[comma] = ";"
    try:
        return _parsed("".join(signs))
    except LineError:
        return None


def _two_readings(line: str, comma: int, apart: str) -> LineError:
    decimal = f"{_digits_before(line, comma)}.{_digits_after(line, comma)}"
    return LineError(
        comma + 1,
        f"this comma can be read as a decimal, {decimal}, or as the gap between two parts: {apart}",
        "Write a point for decimals and : between parts.",
        (decimal, apart),
    )


def _told_title(title: str) -> str:
    words = [] if '"' in title or plain(title) != title else words_of(title)
    return title if words and all(word.tag is not Tag.TITLE_END for word in words) else quoted(title)


def _told_name(name: str) -> str:
    """Return the name bare where it reads as one plain run of words, else in quotes."""
    try:
        bare = parse_line(f"1 {name} : 1 {_other_than(name)}")
    except LineError:
        return quoted(name)
    return name if '"' not in name and bare.parts[0].name == name else quoted(name)


def _other_than(name: str) -> str:
    return "other" if name.casefold() != "other" else "another"
