"""A batch: the readings of one large file or of many small ones, saved in few versions, each exactly once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from sprayout_core.errors import Fault, FaultsError
from sprayout_core.tables import RowLeftOut, TableReading
from sprayout_library.inbox.copying import Copied
from sprayout_library.inbox.keeping import keep_table
from sprayout_library.inbox.ledger import TAKEN, FileNote, Inbox, WaitingRow, row_key
from sprayout_library.record import Intake, Writer
from sprayout_library.record.patterns import ReadyReading
from sprayout_library.record.placing import SpotFound, SpotNotFound, Spots
from sprayout_library.store import Inflow

__all__ = ["MOST", "Batch", "Outcome", "place_waiting"]

#: Files are taken together until they have this many readings.
MOST = 5000
#: Rows looked at together, so that memory stays bounded, and their measured values: a reading every nanometre is as
#: large as a dozen of the usual ones.
_PART = 2000
_PART_VALUES = _PART * 40
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
    """Collects readings and notes, and writes them: readings in one version, then what is known of the files.

    Only inside a `turn` of the inbox. Readings of a large table go to the library's disk as they come, and show
    there when they are saved. Where a command is stopped before, files are not noted, are taken again, and their
    readings are known by their ids.
    """

    def __init__(self, writer: Writer, inbox: Inbox, spots: Spots) -> None:
        self.writer = writer
        self.inbox = inbox
        self.spots = spots
        self._flow = Inflow(writer.store)
        self._ids: set[str] = set()
        self._waiting: list[Waiting] = []
        self._placed: dict[str, str] = {}
        self._notes: list[FileNote] = []
        self._names: list[str] = []

    def __len__(self) -> int:
        return len(self._ids)

    def take(
        self, copied: Copied, path: Path, asked: str, rows: Iterable[TableReading | RowLeftOut],
        panel: str | None = None, named: str | None = None, meaning: str = "",
    ) -> Outcome:  # fmt: skip
        """Take the rows of a file in and return what came of them; nothing shows in the library before `save`.

        Raises FaultsError where rows can be no readings as they are (a wrong scale shows so): then none is taken.

        asked  the mark of the options it is read with
        panel  id of the panel that all rows are of; otherwise their names find it
        named  what the file's name says they are of
        meaning  what of the options makes its rows the readings they are
        """
        source = copied.source
        intake = Intake(self.writer, self.spots, source.digest, panel, named, self._ids)
        outcome = Outcome(path.name)
        note = FileNote(str(path), TAKEN, source.digest, asked, copied.signature, panel=named or "", meaning=meaning)
        seen: Counter[str] = Counter()
        before = len(self._flow), len(self._waiting), dict(self._placed)
        try:
            for some in _parts(rows):
                self._take_some(intake, note, some, seen, outcome)
                if len(self._waiting) >= MOST:
                    self._note_waiting()
            if outcome.fresh or outcome.waiting_count:
                keep_table(self.writer.store.folder, source, self.inbox.files.get(str(path)))
        except BaseException:
            self._let_go(outcome, *before)
            raise
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
        for row, reading in taken.placed if keys else ():
            if id(row) in keys and (key := keys[id(row)][0]) in self.inbox.rows:
                self._placed[key] = reading
        outcome.left_out_count += len(taken.left_out)
        outcome.left_out += taken.left_out[: _LISTED - len(outcome.left_out)]
        outcome.known += taken.known
        for made in taken.fresh:
            self._flow.add(made.path, made.content)
            self._ids.add(made.id)
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
        try:
            if self._ids:
                self.writer.finish(self._flow, f"Readings from {_few(self._names)}")
        finally:
            self._flow.close()
        commit = self.writer.store.head or ""
        notes = [replace(note, commit=commit) for note in self._notes]
        self.inbox.note(files=notes, waiting=self._waiting, placed=self._placed)
        self._flow, self._ids, self._waiting, self._placed = Inflow(self.writer.store), set(), [], {}
        self._notes, self._names = [], []

    def _note_waiting(self) -> None:
        """Note the rows that wait: they are known by their keys, whatever becomes of their file."""
        self.inbox.note(waiting=self._waiting)
        self._waiting.clear()

    def _let_go(self, outcome: Outcome, flowed: int, waited: int, placed: dict[str, str]) -> None:
        self._flow.back_to(flowed)
        self._ids.difference_update(outcome.fresh)
        del self._waiting[waited:]
        self._placed = placed
        if not flowed:
            self._flow.close()
            self._flow = Inflow(self.writer.store)

    def note(self, file: FileNote) -> None:
        """Note, with the others, a file that gave no readings."""
        self._notes.append(file)

    def taken(self, digest: str) -> FileNote | None:
        """Return the file of this batch that has a content, or None."""
        return next((note for note in self._notes if note.digest == digest and note.outcome == TAKEN), None)


def _few(names: list[str]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if names[3:] else "")


def _parts(rows: Iterable[TableReading | RowLeftOut]) -> Iterator[list[TableReading | RowLeftOut]]:
    """Yield rows in parts that fit into memory."""
    part: list[TableReading | RowLeftOut] = []
    values = 0
    for row in rows:
        part.append(row)
        if isinstance(row, TableReading):
            values += len(row.values)
        if len(part) >= _PART or values >= _PART_VALUES:
            yield part
            part, values = [], 0
    if part:
        yield part


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
    readings: dict[str, ReadyReading] = {}
    placed: dict[str, str] = {}
    for row, spot in found:
        intake = intakes.setdefault(row.digest, Intake(writer, spots, row.digest))
        reading = intake.ready(inbox.data(row), spot, row.number)
        readings.setdefault(reading.id, reading)
        placed[row.key] = reading.id
    known = next(iter(intakes.values())).known(readings)
    if fresh := [reading for identity, reading in readings.items() if identity not in known]:
        names = _few(sorted({Path(row.file).name for row, _ in found}))
        with writer.store.inflow() as flowing:
            for one in fresh:
                flowing.add(one.path, one.content)
            writer.finish(flowing, f"Readings that waited, from {names}")
    inbox.note(placed=placed)
