"""From lines to cells: the separator, quotation marks, the decimal mark, and numbers taken strictly."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator

import msgspec

from sprayout_core.errors import SprayoutError

__all__ = [
    "NUMBER",
    "SEPARATORS",
    "Row",
    "blank",
    "number",
    "numberish",
    "rows",
    "separator",
    "several",
]

SEPARATORS = {"tab": "\t", "semicolon": ";", "comma": ",", "blanks": " "}
"""In the order in which they are tried: a mark that rarely stands inside a cell goes before one that
often does.
"""

NUMBER = {
    "point": re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?", re.ASCII),
    "comma": re.compile(r"[-+]?(?:\d+,?\d*|,\d+)(?:[eE][-+]?\d{1,3})?", re.ASCII),
}
_EITHER = re.compile(r"[-+]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][-+]?\d{1,3})?\Z", re.ASCII)
_ALLOWED = {"point": b"0123456789+-.eE \t\x1f", "comma": b"0123456789+-,eE \t\x1f"}

_PLAIN = msgspec.json.Decoder(list[float]).decode

Row = tuple[int, list[str]]
"""A line's number (1 is the first) and its cells."""


def rows(lines: Iterable[str], mark: str, name: str) -> Iterator[Row]:
    """Yield every line's number and cells; a quotation mark not closed on its own line raises
    SprayoutError.
    """
    reader = csv.reader(lines, delimiter=SEPARATORS[mark], strict=True, skipinitialspace=mark == "blanks")
    line = 0
    while True:
        line += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            raise _unbalanced(name, line) from None
        if reader.line_num != line:
            raise _unbalanced(name, line)
        if mark == "blanks":
            while cells and cells[-1] == "":
                cells.pop()
        yield line, cells


def _unbalanced(name: str, line: int) -> SprayoutError:
    return SprayoutError(
        "a quotation mark is opened or closed in the wrong place",
        "Each cell needs both of its quotation marks, on one line.",
        place=f"{name}, line {line}",
    )


def blank(cells: list[str]) -> bool:
    """Say whether a row has nothing in it."""
    return not any(cells) or not any(cell.strip() for cell in cells)


def numberish(text: str) -> bool:
    """Say whether a cell is a number under either decimal mark."""
    return _EITHER.match(text.strip()) is not None


def number(text: str, decimal: str) -> float | None:
    """Return a cell's number under a decimal mark, or None; never `nan`, `inf`, `1_000`, `1e999` or
    other numerals.
    """
    plain = text.strip()
    if not NUMBER[decimal].fullmatch(plain):
        return None
    value = float(plain.replace(",", "."))
    return value if abs(value) < 1e300 else None


def several(cells: list[str], decimal: str) -> list[float] | None:
    """Return all cells as numbers, or None if any is not one."""
    joined = "\x1f".join(cells)
    if (found := _plainly(joined, decimal)) and len(found) == len(cells):
        return found
    # What float() takes beyond plain numbers - nan, inf, 1_000, other numerals - needs letters not allowed here.
    if joined.encode("utf-8", "replace").translate(None, _ALLOWED[decimal]):
        return None
    if decimal == "comma":
        joined = joined.replace(",", ".")
    try:
        values = list(map(float, joined.split("\x1f")))
    except ValueError:
        return None
    return values if len(values) == len(cells) else None


def _plainly(joined: str, decimal: str) -> list[float] | None:
    """Return numbers that are spelled as JSON spells them, but for the mark: nearly all are, and it is quick."""
    if ("," if decimal == "point" else ".") in joined:
        return None
    if decimal == "comma":
        joined = joined.replace(",", ".")
    try:
        return _PLAIN("[" + joined.replace("\x1f", ",") + "]")
    except msgspec.DecodeError:
        return None


def separator(lines: list[str]) -> list[str]:
    """Return the separators under which the first lines are a table of numbers, the likeliest first.

    Blanks go before the comma where they part more lines alike: then the comma is a decimal mark.
    """
    shares = {mark: _share(lines, mark) for mark in SEPARATORS}
    possible = [mark for mark in SEPARATORS if shares[mark] > 0]
    if possible == ["comma", "blanks"] and shares["blanks"] > shares["comma"]:
        return ["blanks", "comma"]
    return possible


def _share(lines: list[str], mark: str) -> float:
    """Return which share of the filled lines has one number of cells, most of them numbers; 0 where it is no table."""
    counts: dict[int, int] = {}
    numbers: dict[int, int] = {}
    filled = 0
    for line in lines:
        cells = _parted(line, mark)
        if blank(cells):
            continue
        filled += 1
        if len(cells) < 2:
            continue
        counts[len(cells)] = counts.get(len(cells), 0) + 1
        numbers[len(cells)] = numbers.get(len(cells), 0) + sum(map(numberish, cells))
    tables = [
        count / filled
        for width, count in counts.items()
        # of a few lines one may be the headings
        if numbers[width] >= 0.4 * width * (max(count - 1, 1) if filled <= 4 else count)
        and (count >= 2 or filled <= 4)
        and numbers[width] >= 2
    ]
    return max(tables, default=0.0)


def _parted(line: str, mark: str) -> list[str]:
    try:
        found = next(csv.reader([line], delimiter=SEPARATORS[mark], skipinitialspace=mark == "blanks"), [])
    except csv.Error:
        return []
    while mark == "blanks" and found and found[-1] == "":
        found.pop()
    return found
