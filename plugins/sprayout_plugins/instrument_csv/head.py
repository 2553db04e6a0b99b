"""The head of a table: its encoding, its marks, the line of its headings, and the key lines above."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Source
from sprayout_plugins.instrument_csv import cells, headings, text, words
from sprayout_plugins.instrument_csv.headings import Spectral
from sprayout_plugins.instrument_csv.options import Findings

__all__ = ["HEAD_LINES", "Head", "candidates", "is_header", "read_head"]

HEAD_LINES = 400
"""How many lines are looked at to understand a table."""


@dataclass(frozen=True, slots=True)
class Head:
    """The first rows of a file under its encoding and separator, and where the headings stand (-1: nowhere)."""

    encoding: str
    separator: str
    rows: tuple[cells.Row, ...]
    header: int
    keys: Mapping[str, str]


def read_head(source: Source, findings: Findings) -> Head | None:
    """Return the head of a table, or None after noting what stands in the way."""
    try:
        encoding = text.encoding(source, findings.told("encoding"))
        lines = list(islice(text.lines(source, encoding.name), HEAD_LINES))
    except SprayoutError as wrong:
        findings.faults.extend(wrong.faults)
        return None
    findings.saw("encoding", encoding.name, encoding.why, how=encoding.how)
    if not any(line.strip() for line in lines):
        findings.fault("", "the file is empty", "Export the readings again.")
        return None
    mark = _separator(lines, findings)
    if not mark:
        return None
    try:
        rows = tuple(cells.rows(lines, mark, source.name))
    except SprayoutError as wrong:
        findings.faults.extend(wrong.faults)
        return None
    header = next((place for place, (_, row) in enumerate(rows) if is_header(row)), -1)
    keys = _keys(rows if header < 0 else rows[:header])
    return Head(encoding.name, mark, rows, header, keys)


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


def _keys(rows: tuple[cells.Row, ...]) -> dict[str, str]:
    """Return `key: value` lines and two-cell lines above the headings."""
    keys: dict[str, str] = {}
    for _, row in rows:
        filled = [cell.strip() for cell in row if cell.strip()]
        if len(filled) == 1:
            key, colon, value = filled[0].partition(":")
            key, colon, value = (key, colon, value) if colon else filled[0].partition("=")
            if colon and value.strip():
                keys[key.strip()] = value.strip()
        elif len(filled) == 2:
            keys[filled[0].rstrip(":= ")] = filled[1]
    return keys


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
        rising = all(a < b for a, b in zip(far, far[1:], strict=False))
        falling = all(a > b for a, b in zip(far, far[1:], strict=False))
        again = len(set(far)) < len(far) and len(far) % len(set(far)) == 0 and len(set(far)) >= 3
        return (
            rising or falling or (again and one.frame != "#") or (again and _headed(row))
        ) and not bare_data
    steps = one.within(0.2, 26) and any(number != int(number) for number in one.numbers)
    return steps and len(one.numbers) >= 5 and one.monotonic


def _headed(row: list[str]) -> bool:
    return any(cell.strip() and not cells.numberish(cell) and words.LABEL.match(cell) for cell in row)


def _even(numbers: list[float]) -> bool:
    steps = {round(b - a, 6) for a, b in zip(numbers, numbers[1:], strict=False)}
    return len(steps) == 1
