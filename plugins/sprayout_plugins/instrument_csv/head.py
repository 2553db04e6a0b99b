"""The head of a table: its encoding, its marks, the line of its headings, and the key lines above."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice, pairwise

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Source
from sprayout_plugins.instrument_csv import cells, headings, text, words
from sprayout_plugins.instrument_csv.headings import Spectral
from sprayout_plugins.instrument_csv.options import Findings

__all__ = ["HEAD_LINES", "Head", "candidates", "is_header", "numbers_above", "read_head"]

HEAD_LINES = 400
"""How many lines are looked at to understand a table."""


HEAD_CHARACTERS = 4_000_000
"""And how many characters at most."""


@dataclass(frozen=True, slots=True)
class Head:
    """The first rows of a file under its encoding and separator, and what stands above its table.

    header  place of the headings of wavelengths across or of L*, a*, b* among the rows, -1: nowhere
    keys    key lines above the table, key to value
    titles  other lines above it that are a single cell of text
    """

    encoding: str
    separator: str
    rows: tuple[cells.Row, ...]
    header: int
    keys: Mapping[str, str]
    titles: tuple[str, ...] = ()

    @property
    def sayings(self) -> tuple[str, ...]:
        """What stands above the table and may say which quantity was measured: titles, and key lines of it."""
        said = (value for key, value in self.keys.items() if words.QUANTITY_KEY.match(key))
        return (*self.titles, *said)


def read_head(source: Source, findings: Findings) -> Head | None:
    """Return the head of a table, or None after noting what stands in the way."""
    try:
        encoding = text.encoding(source, findings.told("encoding"))
        start = _start_of(source, encoding.name, findings)
        lines = _first_lines(source, encoding.name, start)
    except SprayoutError as wrong:
        findings.faults.extend(wrong.faults)
        return None
    if findings.faults:
        return None
    findings.saw("encoding", encoding.name, encoding.why, how=encoding.how)
    if not any(line.strip() for line in lines):
        findings.fault("", "the file is empty", "Export the readings again.")
        return None
    mark = _separator(lines, findings)
    if not mark:
        return None
    try:
        rows = tuple((start + line, row) for line, row in cells.rows(lines, mark, source.name))
    except SprayoutError as wrong:
        findings.faults.extend(wrong.faults)
        return None
    header = next((place for place, (_, row) in enumerate(rows) if is_header(row)), -1)
    above = rows[: _first_numbers(rows)] if header < 0 else rows[:header]
    keys, titles = _above(above)
    return Head(encoding.name, mark, rows, header, keys, titles)


def _first_numbers(rows: tuple[cells.Row, ...]) -> int:
    """Return the place of the first row that begins with a number, or of the end."""
    return next((place for place, (_, row) in enumerate(rows) if row and cells.numberish(row[0])), len(rows))


def _first_lines(source: Source, encoding: str, start: int) -> list[str]:
    found: list[str] = []
    characters = 0
    for line in islice(text.lines(source, encoding), start, start + HEAD_LINES):
        found.append(line)
        characters += len(line)
        if characters > HEAD_CHARACTERS:
            break
    return found


def numbers_above(head: Head, line: int, findings: Findings) -> bool:
    """Refuse rows of numbers above a table's headings: they would be lost without a word."""
    for at, row in head.rows:
        if at >= line:
            return False
        if sum(map(cells.numberish, row)) >= 3:
            findings.fault(
                f"line {at}",
                f"numbers stand above the headings of line {line}",
                "Does another table stand there? Tell the option table, or save each in a file of its own.",
            )
            return True
    return False


def _start_of(source: Source, encoding: str, findings: Findings) -> int:
    """Return how many lines stand before the headings of the table told by its number, 0 where none is
    told.
    """
    told = findings.told("table")
    if told is None:
        return 0
    if not told.isdecimal() or int(told) < 1:
        findings.fault("option table", f"{told!r} is no number of a table", "The first table is 1.")
        return 0
    mark = findings.told("separator") or (cells.separator(_first_lines(source, encoding, 0)) or [""])[0]
    if not mark:
        return 0
    found: list[tuple[int, list[str]]] = []
    for line, row in cells.rows(text.lines(source, encoding), mark, source.name):
        if is_header(row) and not (found and found[-1][1] == row):
            found.append((line, row))
            if len(found) == int(told):
                findings.saw("table", told, f"its headings stand on line {line}", how="told")
                return line - 1 if int(told) > 1 else 0
    findings.fault("option table", f"there are {len(found)} tables, none is number {told}", "The first table is 1.")
    return 0


def _separator(lines: list[str], findings: Findings) -> str:
    if told := findings.told("separator"):
        findings.saw("separator", told, how="told")
        return told
    possible = cells.separator(lines)
    if not possible:
        findings.fault(
            "",
            "no table of numbers is found: no separator gives several lines the same number of cells",
            "Export one reading per row with headings, or tell the option separator.",
        )
        return ""
    if {"tab", "semicolon"} <= set(possible):
        offered = {mark: f"columns are parted by {mark}s" for mark in possible}
        findings.ask("separator", "What parts the columns?", "both would give a table", offered)
        return ""
    findings.saw("separator", possible[0], "it gives the rows one number of cells")
    return possible[0]


def _above(rows: tuple[cells.Row, ...]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return `key: value` lines and two-cell lines above a table as keys, other single cells as titles."""
    keys: dict[str, str] = {}
    titles: list[str] = []
    for _, row in rows:
        filled = [cell.strip() for cell in row if cell.strip()]
        if len(filled) == 2:
            keys[filled[0].rstrip(":= ")] = filled[1]
        elif len(filled) == 1:
            key, colon, value = filled[0].partition(":") if ":" in filled[0] else filled[0].partition("=")
            if colon and value.strip():
                keys[key.strip()] = value.strip()
            else:
                titles.append(filled[0])
    return keys, tuple(titles)


def is_header(row: list[str]) -> bool:
    """Say whether a row holds headings of wavelengths or of L*, a*, b*."""
    return bool(candidates(row)) or _names_coordinates(row)


def _names_coordinates(row: list[str]) -> bool:
    found = {one.name for cell in row if (one := headings.coordinate(cell))}
    return found == {"L*", "a*", "b*"}


def candidates(row: list[str]) -> list[Spectral]:
    """Return the sets of headings that may be wavelengths, by their numbers and their words."""
    return [one for one in headings.spectral_sets(row) if _may_be_wavelengths(one, row)]


def _may_be_wavelengths(one: Spectral, row: list[str]) -> bool:
    if words.NO_WAVELENGTH.search(one.frame) and not one.unit:
        return False
    if one.unit or words.other_quantity(one.frame) == "wavenumbers":
        return True
    far = [number for number in one.numbers if 200 <= number <= 26000]
    if len(far) >= 3:
        whole = all(number == int(number) for number in far)
        bare_data = one.frame == "#" and not _headed(row) and not (whole and _even(far))
        rising = all(a < b for a, b in pairwise(far))
        falling = all(a > b for a, b in pairwise(far))
        again = len(set(far)) < len(far) and len(far) % len(set(far)) == 0 and len(set(far)) >= 3
        return (rising or falling or (again and one.frame != "#") or (again and _headed(row))) and not bare_data
    steps = one.within(0.2, 26) and any(number != int(number) for number in one.numbers)
    likely = one.frame != "#" or _headed(row) or _even(list(one.numbers))
    return steps and likely and len(one.numbers) >= 5 and one.monotonic


def _headed(row: list[str]) -> bool:
    return any(cell.strip() and not cells.numberish(cell) and words.names_sample(cell) for cell in row)


def _even(numbers: list[float]) -> bool:
    steps = {round(b - a, 6) for a, b in pairwise(numbers)}
    return len(steps) == 1
