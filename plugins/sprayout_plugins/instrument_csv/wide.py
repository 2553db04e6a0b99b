"""Planning a table with one sample per row: which columns are readings, which one names the sample."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from sprayout_core.tables import SCALES
from sprayout_plugins.instrument_csv import cells, conditions, headings, marks, words
from sprayout_plugins.instrument_csv.angles import illumination_of, seen_in
from sprayout_plugins.instrument_csv.columns import aligned, label_column, name, offered_place, told_place
from sprayout_plugins.instrument_csv.coordinates import coordinates
from sprayout_plugins.instrument_csv.head import Head, numbers_above
from sprayout_plugins.instrument_csv.headings import Spectral
from sprayout_plugins.instrument_csv.marks import Standing
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Plan, Slot
from sprayout_plugins.instrument_csv.spectral import wavelength_sets
from sprayout_plugins.instrument_csv.stated import stated_columns, stated_keys

__all__ = ["plan"]


def plan(head: Head, findings: Findings) -> Plan | None:
    """Return the plan of a table with one sample per row, or None after noting what stands in the way."""
    line, names = head.rows[head.header]
    data = _data(head)
    if not data:
        findings.fault(f"line {line}", "no row of numbers follows the headings", "Export the readings again.")
        return None
    if numbers_above(head, line, findings):
        return None
    width = Counter(len(row) for row in data).most_common(1)[0][0]
    usual = [row for row in data if len(row) == width]
    named = aligned(names, usual, findings, line, head.separator)
    if named is None:
        return None
    findings.saw("headings", f"line {line}", "the first line with wavelengths or L*, a*, b* across")
    period = _period(named)
    if period < width:
        findings.saw("samples in a row", str(width // period), f"the headings repeat after {period} columns")
    first = _first_block(named[:period], [row[:period] for row in usual], head, findings)
    if first is None:
        return None
    decimal, slots, angles, label = first
    place = told_place(named, findings)
    slots = [replace(slot, place=place) for slot in slots]
    used = {at for slot in slots for at in slot.columns} | {angles, label}
    return Plan(
        encoding=head.encoding,
        separator=head.separator,
        decimal=decimal,
        header=line,
        headings=tuple(named),
        slots=tuple(_moved(slot, label, begin) for begin in range(0, width, period) for slot in slots),
        extras={
            name(named, at): at
            for at in range(period)
            if at not in used and period == width and (named[at] or _filled(usual, at))
        },
        angles=angles,
        illumination=illumination_of(usual, angles, findings),
        keys=head.keys,
        places=offered_place(named, used, label) if period == width and place < 0 else "",
    )


def _first_block(
    named: Sequence[str], rows: Sequence[Sequence[str]], head: Head, findings: Findings
) -> tuple[str, list[Slot], int, int] | None:
    """Return decimal mark, slots, geometry cell and label cell of the columns up to where headings repeat."""
    sets = wavelength_sets(named, head.sayings, findings)
    if sets is None:
        return None
    decimal = marks.decimal(_values(head, named, sets), findings)
    if not decimal:
        return None
    angles = next((at for at, heading in enumerate(named) if words.ANGLE.match(heading)), -1)
    taken = {at for one in sets for at in one.columns} | {angles}
    kind = "" if sets else "L*"
    stated = stated_columns(named, rows, taken, findings, coordinates=kind)
    told = replace(head, keys={**head.keys, **stated_keys(stated, rows)}) if stated else head
    slots = (
        _spectra(sets, rows, decimal, told, findings, angles) if sets else coordinates(named, told, findings, angles)
    )
    used = (
        {at for slot in slots for at in slot.columns}
        | {angles}
        | {one.column for one in stated if one.what != "quantity"}
    )
    label = label_column(named, used, rows, findings)
    slots = [replace(slot, stated=stated) for slot in slots]
    return None if label is None or not slots else (decimal, slots, angles, label)


def _period(named: Sequence[str]) -> int:
    """Return after how many columns the headings begin again, whole blocks with a name and three
    wavelengths or more.
    """
    for period in range(4, len(named) // 2 + 1):
        block = list(named[:period])
        if (
            len(named) % period == 0
            and list(named) == block * (len(named) // period)
            and any(map(words.names_sample, block))
        ):
            return period
    return len(named)


def _moved(slot: Slot, label: int, begin: int) -> Slot:
    at = label + begin if label >= 0 else label
    place = slot.place + begin if slot.place >= 0 else slot.place
    stated = tuple(replace(one, column=one.column + begin) for one in slot.stated)
    return replace(slot, columns=tuple(column + begin for column in slot.columns), label=at, place=place, stated=stated)


def _data(head: Head) -> list[list[str]]:
    """Return the rows below the headings that have several numbers."""
    return [row for _, row in head.rows[head.header + 1 :] if sum(map(cells.numberish, row)) >= 3]


def _filled(rows: Sequence[Sequence[str]], column: int) -> bool:
    return any(row[column].strip() for row in rows)


def _values(head: Head, named: Sequence[str], sets: list[Spectral]) -> list[Standing]:
    columns = [at for one in sets for at in one.columns]
    if not columns:
        columns = [at for at, heading in enumerate(named) if headings.coordinate(heading)]
    return [
        (line, at + 1, row[at])
        for line, row in head.rows[head.header + 1 :]
        if len(row) >= len(named)
        for at in columns
    ]


def _spectra(
    sets: list[Spectral],
    rows: Sequence[Sequence[str]],
    decimal: str,
    head: Head,
    findings: Findings,
    angles: int,
) -> list[Slot]:
    slots = []
    for one in sets:
        seen = seen_in(one.frame, angles, findings)
        shown = [value for row in rows for at in one.columns if (value := cells.number(row[at], decimal)) is not None]
        span = (min(shown), max(shown)) if shown else (0.0, 0.0)
        scale = conditions.settle_scale(findings, head.keys, one.frame, span, head.titles)
        about = conditions.for_spectrum(findings, head.keys, one.frame, seen, scale)
        order = sorted(range(len(one.columns)), key=one.numbers.__getitem__)
        slots.append(
            Slot(
                columns=tuple(one.columns[place] for place in order),
                wavelengths=tuple(one.numbers[place] for place in order),
                names=(),
                conditions=about,
                divisor=SCALES.get(scale, 1.0),
                label=-1,
            )
        )
    return slots
