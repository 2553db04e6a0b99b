"""A batch: the readings of one large file or of many small ones, saved in few versions, each exactly once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from sprayout_core.documents import Reading
from sprayout_core.errors import Fault, FaultsError
from sprayout_core.tables import RowLeftOut, TableReading
from sprayout_library.inbox.copying import Copied
from sprayout_library.inbox.ledger import TAKEN, FileNote, Inbox, WaitingRow, row_key
from sprayout_library.record import Intake, Writer
from sprayout_library.record.placing import SpotFound, SpotNotFound, Spots

__all__ = ["MOST", "Batch", "Outcome", "place_waiting"]

#: Readings saved in one version; more go into several, so that memory stays bounded.
MOST = 5000
#: And measured values: a reading every nanometre is as large as a dozen of the usual ones.
_MOST_VALUES = MOST * 40
_LISTED = 100


@dataclass(slots=True)
class Outcome:
    """What came of one file: ids of readings, and for rows without one their line, name and reason.

    waiting, left_out  the first hundred; the counts are whole
    """

    name: str
    fresh: list[str] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    panels: set[str] = field(default_factory=set)
    waiting: list[tuple[int, str, str]] = field(default_factory=list)
    waiting_count: int = 0
    left_out: list[tuple[int, str]] = field(default_factory=list)
    left_out_count: int = 0


Waiting = tuple[str, FileNote, TableReading, str, int]


class Batch:
    """Collects readings and notes, and writes them: readings first, then what is known of the files.

    Only inside a `turn` of the inbox. Where a command is stopped in between, files are not noted, are taken
    again, and their readings are known by their ids.
    """

    def __init__(self, writer: Writer, inbox: Inbox, spots: Spots) -> None:
        self.writer = writer
        self.inbox = inbox
        self.spots = spots
        self._fresh: dict[str, Reading] = {}
        self._waiting: list[Waiting] = []
        self._placed: dict[str, str] = {}
        self._notes: list[FileNote] = []
        self._names: list[str] = []
        self._values = 0

    def __len__(self) -> int:
        return len(self._fresh)

    def take(
        self, copied: Copied, path: Path, asked: str, rows: Iterable[TableReading | RowLeftOut],
        panel: str | None = None, named: str | None = None,
    ) -> Outcome:  # fmt: skip
        """Take the rows of a file in and return what came of them; nothing of a small file is written yet.

        Raises FaultsError where rows can be no readings as they are (a wrong scale shows so): then none is taken,
        but for those of earlier parts of a large file.

        asked  the mark of the options it is read with
        panel  id of the panel that all rows are of; otherwise their names find it
        named  what the file's name says they are of
        """
        source = copied.source
        intake = Intake(self.writer, self.spots, source.digest, panel, named, self._fresh)
        outcome = Outcome(path.name)
        note = FileNote(str(path), TAKEN, source.digest, asked, copied.signature, panel=named or "")
        seen: Counter[str] = Counter()
        for some, values in _parts(rows):
            self._take_some(intake, note, some, seen, outcome)
            self._values += values
            if len(self._fresh) + len(self._waiting) >= MOST or self._values >= _MOST_VALUES:
                self._write(path.name)
        self._names.append(path.name)
        self._notes.append(replace(note, fresh=len(outcome.fresh), known=len(outcome.known)))
        return outcome

    def _take_some(
        self,
        intake: Intake,
        note: FileNote,
        rows: list[TableReading | RowLeftOut],
        seen: Counter[str],
        outcome: Outcome,
    ) -> None:
        keys: dict[int, tuple[str, int]] = {}
        if self.inbox.placed or self.inbox.rows:
            rows = self._undecided(intake, rows, seen, outcome, keys)
        taken = intake.take(rows)
        if taken.broken:
            raise FaultsError(
                Fault(f"{outcome.name}, {fault.place}", fault.problem, fault.remedy) for fault in taken.broken[:_LISTED]
            )
        for unplaced in taken.unplaced:
            key, number = keys.get(id(unplaced.row)) or _key(unplaced.row, seen)
            self._waiting.append((key, note, unplaced.row, unplaced.reason, number))
            outcome.waiting_count += 1
            if len(outcome.waiting) < _LISTED:
                outcome.waiting.append((unplaced.row.line, unplaced.row.label, unplaced.reason))
        for row, reading in taken.placed:
            if id(row) in keys and (key := keys[id(row)][0]) in self.inbox.rows:
                self._placed[key] = reading
        outcome.left_out_count += len(taken.left_out)
        outcome.left_out += taken.left_out[: _LISTED - len(outcome.left_out)]
        outcome.known += taken.known
        for made in taken.fresh:
            self._fresh[made.id] = made
            outcome.fresh.append(made.id)
            outcome.panels.add(made.panel)

    def _undecided(
        self, intake: Intake, rows: list[TableReading | RowLeftOut], seen: Counter[str], outcome: Outcome,
        keys: dict[int, tuple[str, int]],
    ) -> list[TableReading | RowLeftOut]:  # fmt: skip
        """Return the rows about which nothing was decided by hand; a row once set aside is asked about again
        only where somebody names a panel for the whole file.
        """
        kept: list[TableReading | RowLeftOut] = []
        for row in rows:
            if isinstance(row, TableReading):
                keys[id(row)] = _key(row, seen)
                key = keys[id(row)][0]
                decided = self.inbox.placed.get(key)
                if decided:
                    outcome.known.append(decided)
                if decided or (decided is not None and intake.panel is None):
                    continue
            kept.append(row)
        return kept

    def save(self) -> None:
        """Write what was collected; a failure leaves the files to be taken again."""
        self._write(", ".join(self._names[:3]) + (f" and {len(self._names) - 3} more" if self._names[3:] else ""))
        commit = self.writer.store.head or ""
        self.inbox.note(files=[replace(note, commit=commit) for note in self._notes])
        self._notes, self._names = [], []

    def note(self, file: FileNote) -> None:
        """Note, with the others, a file that gave no readings."""
        self._notes.append(file)

    def taken(self, digest: str) -> FileNote | None:
        """Return the file of this batch that has a content, or None."""
        return next((note for note in self._notes if note.digest == digest and note.outcome == TAKEN), None)

    def _write(self, name: str) -> None:
        if self._fresh:
            self.writer.save(self._fresh.values(), f"Readings from {name}")
        if self._waiting or self._placed:
            self.inbox.note(waiting=self._waiting, placed=self._placed)
        self._values = 0
        self._fresh.clear()
        self._waiting.clear()
        self._placed.clear()


def _parts(
    rows: Iterable[TableReading | RowLeftOut],
) -> Iterator[tuple[list[TableReading | RowLeftOut], int]]:
    """Yield rows in parts that fit into memory, each with the number of its values."""
    part: list[TableReading | RowLeftOut] = []
    values = 0
    for row in rows:
        part.append(row)
        if isinstance(row, TableReading):
            values += len(row.values)
        if len(part) >= MOST or values >= _MOST_VALUES:
            yield part, values
            part, values = [], 0
    if part:
        yield part, values


def _key(row: TableReading, seen: Counter[str]) -> tuple[str, int]:
    """Return a row's key, and which of identical ones it is."""
    plain = row_key(row, 0)
    seen[plain] += 1
    return (row_key(row, seen[plain]) if seen[plain] > 1 else plain), seen[plain]


def place_waiting(writer: Writer, inbox: Inbox, spots: Spots, told: Mapping[str, str] | None = None) -> dict[str, str]:
    """Save the waiting readings whose panel is known by now, and return (row's key: panel's id).

    told  where rows are of, `KF-2` or `KF-2/3`, by key: only these are placed. Without it, names find panels.

    Raises SpotNotFound where what was told names no panel.
    """
    found: list[tuple[WaitingRow, SpotFound]] = []
    for row in list(inbox.rows.values()):
        if told is not None:
            if row.key in told:
                found.append((row, spots.find(told[row.key])))
            continue
        try:
            found.append((row, spots.agreed(row.label, row.named)))
        except SpotNotFound:
            continue
    placed: dict[str, str] = {}
    for start in range(0, len(found), MOST):
        _place_some(writer, inbox, spots, found[start : start + MOST])
        placed |= {row.key: spot.panel for row, spot in found[start : start + MOST]}
    return placed


def _place_some(writer: Writer, inbox: Inbox, spots: Spots, found: list[tuple[WaitingRow, SpotFound]]) -> None:
    intakes: dict[str, Intake] = {}
    readings: dict[str, Reading] = {}
    placed: dict[str, str] = {}
    for row, spot in found:
        intake = intakes.setdefault(row.digest, Intake(writer, spots, row.digest))
        reading = intake.reading((inbox.data(row),), spot, row.number)
        readings.setdefault(reading.id, reading)
        placed[row.key] = reading.id
    known = next(iter(intakes.values())).known(readings)
    fresh = [reading for identity, reading in readings.items() if identity not in known]
    if fresh:
        names = sorted({Path(row.file).name for row, _ in found})
        writer.save(fresh, f"Readings that waited, from {', '.join(names[:3])}{' and more' if names[3:] else ''}")
    inbox.note(placed=placed)
