"""A whole text table: its preview under the options given so far, and its readings once nothing is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sprayout_core.errors import Fault, FaultsError
from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading
from sprayout_plugins.instrument_csv import checks, shapes
from sprayout_plugins.instrument_csv.head import read_head
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Down, Long, Plan
from sprayout_plugins.instrument_csv.rows import Broken, Tally

__all__ = ["READER", "ours", "preview", "read"]

READER = "instrument_csv 1.0"
_FIRST = 3
_LISTED = 100


def ours(source: Source) -> bool:
    """Say whether a file is for this reader: anything but the open measurement tables and known binary
    kinds.
    """
    with source.open() as stream:
        start = stream.read(512)
    kinds = (
        b"%PDF",
        b"\x89PNG",
        b"\xff\xd8\xff",
        b"PK\x03\x04",
        b"\xd0\xcf\x11\xe0",
        b"II*\0",
        b"MM\0*",
        b"{",
        b"<",
    )
    return not start.lstrip().startswith(kinds) and b"BEGIN_DATA_FORMAT" not in start


def preview(source: Source, options: Mapping[str, str]) -> Preview:
    """Return what would be read, what must be asked and what is wrong; reads the whole source once."""
    findings = Findings.of(source.name, options)
    plan = _plan(source, findings)
    if plan is None:
        return _told(findings, 0, (), [], 0)
    count, first, left_out, left_count = _scan(source, plan, findings)
    if not count and not findings.faults:
        findings.fault("", "no sample is found below the headings", "Export the readings again.")
    return _told(findings, count, tuple(first), left_out, left_count)


def read(source: Source, options: Mapping[str, str]) -> Iterator[TableReading | RowLeftOut]:
    """Yield the readings and the lines left out; what is open or wrong raises FaultsError before the first.

    The preview looks at all rows together; a caller shows it first. Here a broken row raises where it is met.
    """
    findings = Findings.of(source.name, options)
    plan = _plan(source, findings)
    if plan is None or findings.stuck:
        asked = [
            Fault(
                f"{source.name}, option {question.option}",
                question.words.rstrip("?") + f": {question.why}",
                "Tell it.",
            )
            for question in findings.questions
        ]
        raise FaultsError([*findings.faults, *asked])
    return _readings(source, plan, findings)


def _readings(
    source: Source, plan: Plan | Down | Long, findings: Findings
) -> Iterator[TableReading | RowLeftOut]:
    for found in shapes.items(source, plan, Tally()):
        if not isinstance(found, Broken):
            yield found
        elif findings.told("broken") == "leave out" and found.line:
            yield RowLeftOut(found.line, f"{found.column}: {found.reason}")
        else:
            raise FaultsError([_fault(source, found)])


def _plan(source: Source, findings: Findings) -> Plan | Down | Long | None:
    if findings.faults:
        return None
    head = read_head(source, findings)
    return None if head is None or findings.stuck else shapes.plan(head, findings)


def _scan(
    source: Source, plan: Plan | Down | Long, findings: Findings
) -> tuple[int, list[TableReading], list[RowLeftOut], int]:
    tally = Tally()
    first: list[TableReading] = []
    left_out: list[RowLeftOut] = []
    count = left_count = 0
    for found in shapes.items(source, plan, tally):
        if isinstance(found, Broken):
            if findings.told("broken") == "leave out" and found.line:
                found = RowLeftOut(found.line, f"{found.column}: {found.reason}")
            else:
                if len(findings.faults) < _LISTED:
                    findings.faults.append(_fault(source, found))
                continue
        if isinstance(found, RowLeftOut):
            left_count += 1
            if len(left_out) < _LISTED:
                left_out.append(found)
        else:
            count += 1
            if len(first) < _FIRST:
                first.append(found)
    checks.whole(plan, tally, findings)
    return count, first, left_out, left_count


def _fault(source: Source, found: Broken) -> Fault:
    place = (
        f"{source.name}, line {found.line}, {found.column}"
        if found.line
        else f"{source.name}, {found.column}"
    )
    return Fault(place, found.reason, found.remedy)


def _told(
    findings: Findings,
    count: int,
    first: tuple[TableReading, ...],
    left_out: list[RowLeftOut],
    left_count: int,
) -> Preview:
    return Preview(
        reader=READER,
        understood=tuple(findings.understood),
        questions=tuple(findings.questions),
        faults=tuple(findings.faults),
        readings=count,
        first=first,
        left_out=tuple(left_out),
        left_out_count=left_count,
        mapping=dict(findings.options),
    )
