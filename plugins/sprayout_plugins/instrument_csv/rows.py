"""Reading a planned table row by row: readings, rows that are no samples, and rows that are broken."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import SCALES, Conditions, RowLeftOut, Source, TableReading, geometry
from sprayout_plugins.instrument_csv import cells, text, words
from sprayout_plugins.instrument_csv.head import is_header
from sprayout_plugins.instrument_csv.plan import Plan, Slot
from sprayout_plugins.instrument_csv.stated import Stated, read_stated

__all__ = ["Broken", "Tally", "count", "geometry_of", "read_rows", "spot_of", "watched"]

_DASHES = re.compile(r"[\s\-–—=_*.#|]*\Z")
_LOWEST, _HIGHEST = -0.5, 10.0
_COORDINATE_LIMIT = 300.0


@dataclass(frozen=True, slots=True)
class Broken:
    """A row that should be a sample and cannot be read: where, why, and what to do."""

    line: int
    column: str
    reason: str
    remedy: str = ""


@dataclass(slots=True)
class Tally:
    """What the rows of a table show only together: their extremes, repeated samples, other tables, the
    last line.

    lowest, highest  extremes of the values as written
    dimmest          the smallest highest value of any reading, and whose
    samples          (label, geometry) to a digest of its values
    repeated         first few samples that come again: label and line
    tables           lines of further headings
    last, previous   the last two lines with their line ends, to see whether the file was cut
    """

    lowest: float = float("inf")
    dimmest: tuple[float, str] = (float("inf"), "")
    highest: float = float("-inf")
    samples: set[tuple[str, str]] = field(default_factory=set)
    repeated: list[tuple[str, int]] = field(default_factory=list)
    tables: list[int] = field(default_factory=list)
    last: str = ""
    previous: str = ""


def read_rows(source: Source, plan: Plan, tally: Tally) -> Iterator[TableReading | RowLeftOut | Broken]:
    """Yield what each line below the headings is; memory does not grow with the file, but for the
    samples' names.
    """
    first = plan.slots[0].label
    try:
        for line, row in cells.rows(watched(source, plan.encoding, tally), plan.separator, source.name):
            if line <= plan.header:
                continue
            label = row[first] if 0 <= first < len(row) else ""
            # Most rows are samples: they are read first, and looked at closely only where that fails.
            found = None if words.may_be_no_sample(label) else _row(line, row, plan, tally)
            if isinstance(found, list):
                yield from found
                continue
            another = _another_table(row, plan)
            if another == "other":
                tally.tables.append(line)
                return
            if reason := another or _no_sample(row, plan):
                yield RowLeftOut(line, "the headings again" if another else reason)
                continue
            found = found or _row(line, row, plan, tally)
            yield from [found] if isinstance(found, Broken) else found
    except SprayoutError as wrong:
        place = wrong.fault.place.removeprefix(f"{source.name}, ")
        yield Broken(0, place, wrong.fault.problem, wrong.fault.remedy)


def watched(source: Source, encoding: str, tally: Tally) -> Iterator[str]:
    """Yield a source's lines, noting the last two."""
    for line in text.lines(source, encoding):
        tally.previous, tally.last = tally.last, line
        yield line


def _row(line: int, row: list[str], plan: Plan, tally: Tally) -> list[TableReading] | Broken:
    width = len(plan.headings)
    if len(row) < width or (len(row) > width and any(row[width:])):
        return Broken(
            line,
            f"column {min(len(row), width) + 1}",
            f"the row has {len(row)} cells, the headings have {width}",
            "Was the file cut here, or is a mark inside a cell not quoted?",
        )
    extra = {name: row[at].strip() for name, at in plan.extras.items()}
    readings: list[TableReading] = []
    for slot in plan.slots:
        label = row[slot.label].strip() if slot.label >= 0 else f"line {line}"
        if slot.place >= 0 and label:
            label = f"{label}/{row[slot.place].strip()}"
        written = [row[at] for at in slot.columns] if slot.span is None else row[slot.span]
        values = cells.several(written, plan.decimal)
        if values is None or not label:
            if readings and not label and not any(map(str.strip, written)):
                continue  # the last row of patches side by side may have fewer
            return _why(line, row, slot, plan)
        about = slot.conditions
        if plan.angles >= 0:
            where = geometry_of(row[plan.angles], plan.illumination)
            if not where:
                return Broken(line, _place(plan, plan.angles), f"{row[plan.angles]!r} is no measuring geometry")
            about = replace(about, geometry=where)
        if slot.stated:
            told = read_stated(row, slot.stated, about)
            if isinstance(told, tuple):
                return Broken(line, _place(plan, told[0]), told[1], "Save such rows in a file of their own.")
            about = told
        extremes = min(values), max(values)
        if wrong := _beyond(values, extremes, slot):
            at = slot.columns[wrong - 1]
            problem = f"{row[at].strip()} is beyond what can be measured"
            return Broken(line, _place(plan, at), problem, "Check the scale.")
        count(extremes, label, spot_of(about, slot.stated), line, tally)
        readings.append(_reading(label, line, slot, about, values, extra, plan.keys))
    return readings


def spot_of(about: Conditions, stated: tuple[Stated, ...]) -> str:
    """Return what tells readings of one sample apart: its geometry, and what its row states beside it."""
    return f"{about.geometry} {about.stage} {about.illuminant} {about.observer}" if stated else about.geometry


def _reading(
    label: str,
    line: int,
    slot: Slot,
    about: Conditions,
    values: list[float],
    extra: dict[str, str],
    keys: Mapping[str, str],
) -> TableReading:
    if slot.names:
        named = dict(zip(slot.names, values, strict=True))
        return TableReading(label, line, about, coordinates=named, extra=extra, keys=keys)
    factors = tuple(values) if slot.divisor == 1.0 else tuple([value / slot.divisor for value in values])
    return TableReading(label, line, about, slot.wavelengths, factors, extra=extra, keys=keys)


def _why(line: int, row: list[str], slot: Slot, plan: Plan) -> Broken:
    for at in slot.columns:
        cell = row[at].strip()
        if cells.number(cell, plan.decimal) is None:
            if not cell:
                return Broken(line, _place(plan, at), "the cell is empty", "A reading needs all of its values.")
            other = "comma" if plan.decimal == "point" else "point"
            if cells.number(cell, other) is not None:
                return Broken(
                    line,
                    _place(plan, at),
                    f"{cell!r} has a decimal {other}, the others a decimal {plan.decimal}",
                    "Export the table with one decimal mark.",
                )
            return Broken(
                line,
                _place(plan, at),
                f"{cell[:40]!r} is no number",
                "Correct the cell or leave the row out.",
            )
    return Broken(line, _place(plan, slot.label), "the sample has no name", "Give every sample a name.")


def _place(plan: Plan, at: int) -> str:
    heading = plan.headings[at]
    return f"column {at + 1} ({heading})" if heading else f"column {at + 1}"


def _beyond(values: list[float], extremes: tuple[float, float], slot: Slot) -> int:
    """Return the place (from 1) of the first value that no sample can have, or 0."""
    if slot.names:
        low, high = -_COORDINATE_LIMIT, _COORDINATE_LIMIT
        if values[0] < -1:
            return 1
    else:
        widest = slot.divisor if slot.conditions.scale else max(SCALES.values())
        low, high = _LOWEST * widest, _HIGHEST * widest
    if extremes[0] >= low and extremes[1] <= high:
        return 0
    return next(place for place, value in enumerate(values, 1) if not low <= value <= high)


@lru_cache(maxsize=256)
def geometry_of(cell: str, illumination: str) -> str:
    """Return the geometry a cell names, with the illumination told for a bare angle; nothing where it
    names none.
    """
    plain = cell.strip().strip("°").strip()
    if plain.lower().startswith("as"):
        plain = plain[2:]
    if re.fullmatch(r"[-+]?\d{1,3}", plain):
        if not illumination:
            return f"as{plain}"  # asked for; nothing is read before it is told
        plain = f"{illumination}as{plain}"
    try:
        return geometry(plain)
    except SprayoutError:
        return ""


def count(extremes: tuple[float, float], label: str, where: str, line: int, tally: Tally) -> None:
    """Note a reading's extremes, and whether its sample and geometry have been there before."""
    low, high = extremes
    if low < tally.lowest:
        tally.lowest = low
    if high > tally.highest:
        tally.highest = high
    if high < tally.dimmest[0]:
        tally.dimmest = (high, label)
    key = (label, where)
    if key in tally.samples:
        if len(tally.repeated) < 20:
            tally.repeated.append((label, line))
    else:
        tally.samples.add(key)


def _another_table(row: list[str], plan: Plan) -> str:
    """Say whether a row is headings: `again`, `other`, or nothing; a row that begins like a sample is
    none.
    """
    at = plan.slots[0].columns[0]
    label = plan.slots[0].label
    if len(row) > at and cells.number(row[at], plan.decimal) is not None:
        named = row[label] if 0 <= label < len(row) else ""
        if not words.names_sample(named):
            return ""
    if _same(row, plan):
        return "again"
    return "other" if is_header(row) else ""


def _same(row: list[str], plan: Plan) -> bool:
    at = plan.slots[0].columns[-1]
    if len(row) <= at or row[at].strip() != plan.headings[at]:
        return False
    return [cell.strip() for cell in row] == list(plan.headings)[: len(row)]


def _no_sample(row: list[str], plan: Plan) -> str:
    """Return why a row is no sample, or nothing."""
    if cells.blank(row):
        return "an empty line" if len(row) < 2 else "nothing but separators"
    label = plan.slots[0].label
    named = row[label].strip() if 0 <= label < len(row) else ""
    if named and words.statistic_row(named):
        return f"{named!r} sums up, compares or limits readings, and is no sample"
    if all(_DASHES.match(cell) for cell in row):
        return "a ruled line"
    if not any(row[at].strip() for slot in plan.slots for at in slot.columns if at < len(row)):
        return "no values: a note"
    filled = [cell for cell in row if cell.strip()]
    if len(filled) == 1 and not cells.numberish(filled[0]):
        return "a single cell of text: a note"
    if all(_DASHES.match(row[at]) for slot in plan.slots for at in slot.columns if at < len(row)):
        return "dashes in place of values"
    return ""
