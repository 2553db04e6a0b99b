"""Taking a table in: its preview from one pass over all rows, its readings from another, broken rows
as told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from sprayout_core.errors import Fault, FaultsError
from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.rows import Broken

__all__ = ["Item", "Seen", "preview_of", "readings_of", "refuse_open", "see"]

_FIRST = 3
_LISTED = 100

Item = TableReading | RowLeftOut | Broken
"""What a line or a group of lines of a table is."""


class Seen:
    """What one pass over a table found: how many readings, the first few, and the lines left out."""

    def __init__(self) -> None:
        self.count = 0
        self.first: list[TableReading] = []
        self.left_out: list[RowLeftOut] = []
        self.left_count = 0

    def add(self, found: TableReading | RowLeftOut) -> None:
        """Count one more."""
        if isinstance(found, RowLeftOut):
            self.left_count += 1
            if len(self.left_out) < _LISTED:
                self.left_out.append(found)
        else:
            self.count += 1
            if len(self.first) < _FIRST:
                self.first.append(found)


def see(items: Iterable[Item], source: Source, findings: Findings) -> Seen:
    """Go once over a table; broken rows become faults, or lines left out where that is told."""
    seen = Seen()
    for found in items:
        if not isinstance(found, Broken):
            seen.add(found)
        elif _leave_out(found, findings):
            seen.add(RowLeftOut(found.line, f"{found.column}: {found.reason}"))
        elif len(findings.faults) < _LISTED:
            findings.faults.append(_fault(source, found))
    return seen


def preview_of(reader: str, findings: Findings, seen: Seen) -> Preview:
    """Return the preview of what was settled and seen."""
    return Preview(
        reader=reader,
        understood=tuple(findings.understood),
        questions=tuple(findings.questions),
        faults=tuple(findings.faults),
        readings=seen.count,
        first=tuple(seen.first),
        left_out=tuple(seen.left_out),
        left_out_count=seen.left_count,
        mapping=dict(findings.options),
    )


def refuse_open(source: Source, findings: Findings) -> None:
    """Raise FaultsError where something is asked or wrong."""
    asked = [
        Fault(
            f"{source.name}, option {question.option}",
            f"{question.words.rstrip('?')}? {question.why}",
            "Tell it as an option.",
        )
        for question in findings.questions
    ]
    if findings.faults or asked:
        raise FaultsError([*findings.faults, *asked])


def readings_of(
    items: Iterable[Item], source: Source, findings: Findings, whole: Callable[[int], None]
) -> Iterator[TableReading | RowLeftOut]:
    """Yield readings and lines left out; a broken row raises FaultsError where it is met, unless told
    otherwise.

    whole  notes what only the whole table shows, given the number of readings; it raises after the last one
    """
    count = 0
    for found in items:
        if not isinstance(found, Broken):
            count += isinstance(found, TableReading)
            yield found
        elif _leave_out(found, findings):
            yield RowLeftOut(found.line, f"{found.column}: {found.reason}")
        else:
            raise FaultsError([_fault(source, found)])
    whole(count)
    refuse_open(source, findings)


def _leave_out(found: Broken, findings: Findings) -> bool:
    return found.line > 0 and findings.told("broken") == "leave out"


def _fault(source: Source, found: Broken) -> Fault:
    line = f"line {found.line}" if found.line else ""
    return Fault(", ".join(filter(None, (source.name, line, found.column))), found.reason, found.remedy)
