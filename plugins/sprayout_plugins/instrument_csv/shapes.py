"""Telling the shape of a table: one sample per row, per column, or one value per row; and reading it so."""

from __future__ import annotations

from collections.abc import Iterator

from sprayout_core.tables import RowLeftOut, Source, TableReading
from sprayout_plugins.instrument_csv import down, long, wide, words
from sprayout_plugins.instrument_csv.down import Fall
from sprayout_plugins.instrument_csv.head import Head, candidates
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Down, Long, Plan
from sprayout_plugins.instrument_csv.rows import Broken, Tally, read_rows
from sprayout_plugins.instrument_csv.transposed import read_down, read_long

__all__ = ["items", "plan"]


def plan(head: Head, findings: Findings) -> Plan | Down | Long | None:
    """Return the plan for a table's shape, or None after noting what stands in the way."""
    falls = down.fall(head)
    long_at = long.header(head)
    across = head.header >= 0 and not (falls and falls.first <= head.header)
    told = findings.told("layout")
    if told is None and across and falls and _corner(head, falls):
        if _plainly_across(head):
            line = head.rows[head.header][0]
            why = f"wavelengths seem to stand across line {line} and down column {falls.column + 1}"
            findings.ask("layout", "Which way is this table laid out?", why)
            return None
        across = False
    if long_at >= 0 and (told == "long" or (told is None and not across)):
        return long.plan(head, long_at, findings)
    if falls and (told == "columns" or (told is None and not across)):
        return down.plan(head, falls, findings)
    if head.header >= 0 and told in {None, "rows"}:
        return wide.plan(head, findings)
    _none(head, findings)
    return None


def items(source: Source, planned: Plan | Down | Long, tally: Tally) -> Iterator[TableReading | RowLeftOut | Broken]:
    """Yield what a planned table holds, in file order."""
    if isinstance(planned, Down):
        return read_down(source, planned, tally)
    if isinstance(planned, Long):
        return read_long(source, planned, tally)
    return read_rows(source, planned, tally)


def _corner(head: Head, falls: Fall) -> bool:
    """Say whether the heading over a falling column names wavelengths, or nothing."""
    row = head.rows[head.header][1]
    heading = row[falls.column].strip() if falls.column < len(row) else ""
    return not heading or words.WAVELENGTH.search(heading) is not None


def _plainly_across(head: Head) -> bool:
    return any(
        one.unit or words.says_reflectance(one.frame) or one.frame == "#"
        for one in candidates(head.rows[head.header][1])
    )


def _none(head: Head, findings: Findings) -> None:
    findings.fault(
        f"lines 1 to {head.rows[-1][0]}",
        "no line of headings names wavelengths or L*, a*, b*, and no column runs down them",
        "Export with a line of headings such as 400, 400nm or R400.",
    )
