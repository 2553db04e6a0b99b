"""A whole text table: its preview under the options given so far, and its readings once nothing is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading
from sprayout_plugins.instrument_csv import checks, shapes, text
from sprayout_plugins.instrument_csv.head import read_head
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Down, Long, Plan
from sprayout_plugins.instrument_csv.rows import Tally
from sprayout_plugins.instrument_csv.taking import Seen, preview_of, readings_of, refuse_open, see

__all__ = ["READER", "ours", "preview", "read"]

READER = "instrument_csv 1.0"
_OTHERS = (b"%PDF", b"{", b"<")


def ours(source: Source) -> bool:
    """Say whether a file is for this reader: anything but open measurement tables and known other kinds."""
    with source.open() as stream:
        start = stream.read(512)
    return not (start.lstrip().startswith(_OTHERS) or text.is_binary(source) or text.has_sections(source))


def preview(source: Source, options: Mapping[str, str]) -> Preview:
    """Return what would be read, what must be asked and what is wrong; reads the whole source once."""
    findings = Findings.of(source.name, options)
    plan = _plan(source, findings)
    seen = Seen()
    if plan is not None:
        tally = Tally()
        seen = see(shapes.items(source, plan, tally), source, findings)
        checks.whole(plan, tally, findings, seen.count)
    return preview_of(READER, findings, seen)


def read(source: Source, options: Mapping[str, str]) -> Iterator[TableReading | RowLeftOut]:
    """Yield the readings and the lines left out; what is open or wrong raises FaultsError.

    What the head shows raises before the first reading, a broken row where it is met, and what only all rows
    together show after the last one. The preview tells all of it beforehand.
    """
    findings = Findings.of(source.name, options)
    plan = _plan(source, findings)
    refuse_open(source, findings)
    assert plan is not None
    tally = Tally()
    return readings_of(
        shapes.items(source, plan, tally),
        source,
        findings,
        lambda count: checks.whole(plan, tally, findings, count),
    )


def _plan(source: Source, findings: Findings) -> Plan | Down | Long | None:
    if findings.faults:
        return None
    head = read_head(source, findings)
    return None if head is None or findings.stuck else shapes.plan(head, findings)
