"""Reading tables in which a reading is spread over many rows: wavelengths down, or one value in each row."""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from dataclasses import replace

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import SCALES, Conditions, RowLeftOut, Source, TableReading
from sprayout_plugins.instrument_csv import cells, words
from sprayout_plugins.instrument_csv.plan import Down, Long
from sprayout_plugins.instrument_csv.rows import Broken, Tally, count, geometry_of, spot_of, watched
from sprayout_plugins.instrument_csv.stated import read_stated

__all__ = ["MOST_CELLS", "read_down", "read_long"]

MOST_CELLS = 4_000_000
"""A table with wavelengths down must be held whole to be turned; a larger one is refused (32 MB of
numbers).
"""

_FEWEST = 3
"""A spectrum of fewer wavelengths is none."""

Item = TableReading | RowLeftOut | Broken
_Group = tuple[str, Conditions]


def read_down(source: Source, plan: Down, tally: Tally) -> Iterator[Item]:
    """Yield lines left out and broken cells in file order, then the readings, one per column."""
    wavelengths: list[float] = []
    values = [array("d") for _ in plan.samples]
    broken: dict[int, str] = {}
    try:
        for line, row in cells.rows(watched(source, plan.encoding, tally), plan.separator, source.name):
            if line < plan.first:
                continue
            length = cells.number(row[plan.column], plan.decimal) if len(row) > plan.column else None
            if length is None and _headings(row, plan):
                problem = f"{next(filter(None, map(str.strip, row)))[:40]!r} stands where a wavelength is wanted"
                yield Broken(line, _named(plan, plan.column), problem, "Does another table begin here? Save it apart.")
                return
            if reason := _no_band(row, length):
                yield RowLeftOut(line, reason)
                continue
            assert length is not None
            if any(map(str.strip, row[len(plan.headings) :])):
                problem = f"the row has {len(row)} cells, the headings have {len(plan.headings)}"
                yield Broken(line, f"column {len(plan.headings) + 1}", problem, "Is a mark inside a cell not quoted?")
                return
            if wrong := _out_of_order(line, length * plan.factor, wavelengths, plan):
                yield wrong
                return
            wavelengths.append(length * plan.factor)
            if len(wavelengths) * len(values) > MOST_CELLS:
                yield Broken(line, "column 1", f"more than {MOST_CELLS} values", "Export fewer samples in one file.")
                return
            for place, at in enumerate(plan.samples):
                value = cells.number(row[at], plan.decimal) if at < len(row) else None
                if value is None:
                    yield _broken_cell(line, at, row, plan, broken)
                    broken[place] = f"line {line}"
                values[place].append(0.0 if value is None else value)
    except SprayoutError as wrong:
        yield Broken(0, wrong.fault.place.removeprefix(f"{source.name}, "), wrong.fault.problem, wrong.fault.remedy)
        return
    yield from _columns(plan, wavelengths, values, broken, tally)


def _headings(row: list[str], plan: Down) -> bool:
    """Say whether a row without a wavelength has more than one cell and is not named as summing up the others."""
    named = row[plan.column] if len(row) > plan.column else ""
    return sum(bool(cell.strip()) for cell in row) > 1 and not words.statistic_row(named)


def _no_band(row: list[str], length: float | None) -> str:
    if cells.blank(row):
        return "an empty line" if len(row) < 2 else "nothing but separators"
    if length is None:
        first = next(cell.strip() for cell in row if cell.strip())
        return f"{first[:40]!r} is no wavelength: a note, or sums up others"
    return ""


def _out_of_order(line: int, length: float, before: list[float], plan: Down) -> Broken | None:
    if not before:
        return None
    rising = len(before) < 2 or before[1] > before[0]
    if length == before[-1] or (len(before) > 1 and (length > before[-1]) != rising):
        return Broken(
            line,
            _named(plan, plan.column),
            f"{length:g} nm is out of order after {before[-1]:g} nm",
            "Does another table begin here? Save each in a file of its own.",
        )
    return None


def _broken_cell(line: int, at: int, row: list[str], plan: Down, broken: dict[int, str]) -> Broken:
    cell = row[at].strip() if at < len(row) else ""
    reason = f"{cell[:40]!r} is no number" if cell else "the cell is empty"
    return Broken(line, _named(plan, at), reason, "Correct it, or leave the column out.")


def _named(plan: Down | Long, at: int) -> str:
    return f"column {at + 1} ({plan.headings[at]})" if plan.headings[at] else f"column {at + 1}"


def _columns(
    plan: Down, wavelengths: list[float], values: list[array[float]], broken: dict[int, str], tally: Tally
) -> Iterator[Item]:
    turned = len(wavelengths) > 1 and wavelengths[0] > wavelengths[-1]
    nm = tuple(round(length, 6) for length in (reversed(wavelengths) if turned else wavelengths))
    for place, at in enumerate(plan.samples):
        if place in broken:
            continue
        about = plan.conditions[place]
        column = list(reversed(values[place])) if turned else list(values[place])
        if wrong := _beyond(column, about.scale):
            yield Broken(plan.first, _named(plan, at), f"{wrong:g} is beyond what can be measured", "Check the scale.")
            continue
        count((min(column), max(column)), plan.labels[place], about.geometry, plan.header, tally)
        factors = tuple(value / SCALES.get(about.scale, 1.0) for value in column)
        yield TableReading(
            plan.labels[place], plan.header or plan.first, about, nm, factors, column=_named(plan, at), keys=plan.keys
        )


def _beyond(values: list[float], scale: str) -> float | None:
    widest = SCALES.get(scale, max(SCALES.values()))
    return next((value for value in values if not -0.5 * widest <= value <= 10 * widest), None)


def read_long(source: Source, plan: Long, tally: Tally) -> Iterator[Item]:
    """Yield a reading whenever the sample or its conditions change; a wavelength that others have must
    be there.
    """
    group: _Group | None = None
    begun = 0
    extra: dict[str, str] = {}
    bands: dict[float, float] = {}
    grid: tuple[float, ...] = ()
    try:
        for line, row in cells.rows(watched(source, plan.encoding, tally), plan.separator, source.name):
            if line <= plan.header:
                continue
            found = _value_row(line, row, plan)
            if isinstance(found, RowLeftOut | Broken):
                yield found
                continue
            key, length, value = found
            if key != group:
                if group is not None:
                    yield _group(group, (begun, extra), bands, grid, plan, tally)
                    grid = grid or tuple(sorted(bands))
                group, begun, bands = key, line, {}
                extra = {name: row[at].strip() for name, at in plan.extras.items()}
            if length in bands:
                yield Broken(
                    line,
                    _named(plan, plan.column),
                    f"{length:g} nm is there twice for {key[0]!r}",
                    "Leave one out.",
                )
                return
            bands[length] = value
    except SprayoutError as wrong:
        yield Broken(0, wrong.fault.place.removeprefix(f"{source.name}, "), wrong.fault.problem, wrong.fault.remedy)
        return
    if group is not None:
        yield _group(group, (begun, extra), bands, grid, plan, tally)


def _value_row(line: int, row: list[str], plan: Long) -> tuple[_Group, float, float] | RowLeftOut | Broken:
    width = len(plan.headings)
    if cells.blank(row):
        return RowLeftOut(line, "an empty line" if len(row) < 2 else "nothing but separators")
    if len([cell for cell in row if cell.strip()]) == 1:
        return RowLeftOut(line, "a single cell: a note")
    if len(row) < width or any(cell.strip() for cell in row[width:]):
        return Broken(
            line,
            f"column {min(len(row), width) + 1}",
            f"the row has {len(row)} cells, the headings have {width}",
        )
    label = row[plan.label].strip() if plan.label >= 0 else f"line {line}"
    if words.statistic_row(label):
        return RowLeftOut(line, f"{label!r} sums up, compares or limits readings, and is no sample")
    for at in (plan.column, plan.value):
        if cells.number(row[at], plan.decimal) is None:
            return Broken(line, _named(plan, at), f"{row[at].strip()[:40]!r} is no number", "Correct it.")
    where = geometry_of(row[plan.angles], plan.illumination) if plan.angles >= 0 else plan.conditions.geometry
    if plan.angles >= 0 and not where:
        return Broken(line, _named(plan, plan.angles), f"{row[plan.angles]!r} is no measuring geometry")
    if not label:
        return Broken(line, _named(plan, plan.label), "the sample has no name", "Give every sample a name.")
    about = plan.conditions if plan.angles < 0 else replace(plan.conditions, geometry=where)
    told = read_stated(row, plan.stated, about) if plan.stated else about
    if isinstance(told, tuple):
        return Broken(line, _named(plan, told[0]), told[1], "Save such rows in a file of their own.")
    length = cells.number(row[plan.column], plan.decimal) or 0.0
    return (label, told), round(length * plan.factor, 6), cells.number(row[plan.value], plan.decimal) or 0.0


def _group(
    group: _Group,
    beginning: tuple[int, dict[str, str]],
    bands: dict[float, float],
    grid: tuple[float, ...],
    plan: Long,
    tally: Tally,
) -> TableReading | Broken:
    begun, extra = beginning
    nm = tuple(sorted(bands))
    if len(nm) < _FEWEST:
        problem = f"{group[0]!r} has {len(nm)} wavelengths here; are its rows not together?"
        return Broken(begun, _named(plan, plan.column), problem, "Sort the table by sample, then by wavelength.")
    if grid and nm != grid:
        odd = sorted(set(nm) ^ set(grid))[0]
        return Broken(
            begun,
            _named(plan, plan.column),
            f"{group[0]!r} has other wavelengths than the first sample: {odd:g} nm is not in both",
            "Export all samples on one set of wavelengths, or in files of their own.",
        )
    values = [bands[length] for length in nm]
    if wrong := _beyond(values, plan.scale):
        return Broken(begun, _named(plan, plan.value), f"{wrong:g} is beyond what can be measured", "Check the scale.")
    label, about = group
    count((min(values), max(values)), label, spot_of(about, plan.stated), begun, tally)
    factors = tuple(value / SCALES.get(plan.scale, 1.0) for value in values)
    return TableReading(label, begun, about, nm, factors, extra=extra, keys=plan.keys)
