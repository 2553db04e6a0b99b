"""The head of a measurement table: identifier, keywords, and the fields of its data format."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from sprayout_core.errors import SprayoutError
from sprayout_plugins.measurement_table.tokens import split

__all__ = ["Line", "Sections", "numbered", "read_sections"]

MARKS = {"BEGIN_DATA_FORMAT", "END_DATA_FORMAT", "BEGIN_DATA", "END_DATA"}

Line = tuple[int, list[str]]
"""A line's number (1 is the first) and its words."""


@dataclass(slots=True)
class Sections:
    """What stands before a table's data.

    identifier  the first line's word, as a table of the standard begins; empty where it is left out
    keywords    (name, value) in file order; a name may come several times
    fields      names of the data format, in order
    places      keyword or field to the line where it stands
    sets        NUMBER_OF_SETS, -1 where it is not said
    begins      line of BEGIN_DATA
    """

    identifier: str = ""
    keywords: list[tuple[str, str]] = field(default_factory=list)
    fields: list[str] = field(default_factory=list)
    places: dict[str, int] = field(default_factory=dict)
    sets: int = -1
    begins: int = 0


def numbered(lines: Iterator[str], name: str) -> Iterator[Line]:
    """Yield every line with words on it; a quotation mark in the wrong place raises SprayoutError."""
    for number, line in enumerate(lines, 1):
        found = split(line)
        if found is None:
            raise SprayoutError(
                "a quotation mark is opened or closed in the wrong place",
                "Each text needs both of its quotation marks, on one line.",
                place=f"{name}, line {number}",
            )
        if found:
            yield number, found


def read_sections(lines: Iterator[Line], name: str) -> Sections | None:
    """Read up to and with BEGIN_DATA and return what stands there; None where only the end of the file
    is left.

    Raises SprayoutError with file and line for what does not follow the standard's form.
    """
    found = Sections()
    declared = -1
    at = 0
    for at, words in lines:
        if words[0] == "BEGIN_DATA_FORMAT":
            _fields(found, lines, name, at)
        elif words[0] == "BEGIN_DATA":
            found.begins = at
            _check(found, declared, name)
            return found
        elif words[0] in MARKS:
            raise _wrong(name, at, f"{words[0]} stands there without its beginning", "Put the sections in order.")
        elif words[0] == "NUMBER_OF_FIELDS":
            declared = _whole(words, name, at)
            found.places["NUMBER_OF_FIELDS"] = at
        elif words[0] == "NUMBER_OF_SETS":
            found.sets = _whole(words, name, at)
            found.places["NUMBER_OF_SETS"] = at
        else:
            _keyword(found, words, name, at)
    if found.places or found.fields:
        raise _wrong(name, at, "the file ends before BEGIN_DATA", "Was the file cut? Export it again.")
    return None


def _keyword(found: Sections, words: list[str], name: str, at: int) -> None:
    if len(words) == 1 and not found.identifier and not found.keywords and not found.fields:
        found.identifier = words[0]
        found.places.setdefault(words[0], at)
        return
    if len(words) > 2:
        raise _wrong(
            name, at, f"{words[0]} has {len(words) - 1} values", "Put a text of several words in quotation marks."
        )
    found.keywords.append((words[0], words[1] if len(words) == 2 else ""))
    found.places.setdefault(words[0], at)


def _fields(found: Sections, lines: Iterator[Line], name: str, begun: int) -> None:
    if found.fields:
        raise _wrong(name, begun, "a second BEGIN_DATA_FORMAT", "A table has one data format.")
    at = begun
    for at, words in lines:
        if words[0] == "END_DATA_FORMAT":
            found.places["BEGIN_DATA_FORMAT"] = begun
            return
        if words[0] in MARKS:
            break
        for word in words:
            if word in found.fields:
                raise _wrong(name, at, f"the field {word} is there twice", "Each field has its own name.")
            found.fields.append(word)
            found.places.setdefault(word, at)
    raise _wrong(name, at, f"END_DATA_FORMAT is missing after line {begun}", "Was the file cut? Export it again.")


def _check(found: Sections, declared: int, name: str) -> None:
    if not found.fields:
        raise _wrong(name, found.begins, "no data format stands before BEGIN_DATA", "Name the fields first.")
    if declared >= 0 and declared != len(found.fields):
        raise _wrong(
            name,
            found.places["NUMBER_OF_FIELDS"],
            f"NUMBER_OF_FIELDS is {declared}, the data format names {len(found.fields)}",
            "Correct the number, or the fields.",
        )


def _whole(words: list[str], name: str, at: int) -> int:
    if len(words) != 2 or not words[1].isascii() or not words[1].isdecimal():
        raise _wrong(name, at, f"{words[0]} is no whole number", "Write one whole number after it.")
    return int(words[1][:12])


def _wrong(name: str, at: int, problem: str, remedy: str) -> SprayoutError:
    return SprayoutError(problem, remedy, place=f"{name}, line {at}")
