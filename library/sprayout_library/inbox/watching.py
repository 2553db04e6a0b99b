"""Watching a folder: each finished file is taken in once, what could not be taken is told and tried again."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from sprayout_core.errors import SprayoutError
from sprayout_library.inbox.batch import MOST, Batch, Outcome, place_waiting
from sprayout_library.inbox.copying import Copied, NoRoom, NotOpened, NotReadable, StillChanging, copied, signature
from sprayout_library.inbox.file_names import NamePattern
from sprayout_library.inbox.ledger import REFUSED, SAME, FileNote, Inbox
from sprayout_library.inbox.looking import files_in, passed_over
from sprayout_library.inbox.settling import Settling
from sprayout_library.inbox.taking import Asked, Readers
from sprayout_library.machine import LockedError
from sprayout_library.record import Writer
from sprayout_library.record.placing import Spots
from sprayout_library.store import BusyError, FullDiskError, StaleError

__all__ = ["Placed", "Refused", "Same", "Told", "Watch"]

_TOGETHER = 200
_LATER = 15.0
#: Seconds after which the library is asked for panels recorded meanwhile.
_LOOK = 3.0
_GROWN = "Watch it with the options it was begun with, or let the instrument begin a new file."
#: Reasons that may pass by themselves: nothing is noted, the file is tried again.
_PASSING = (StillChanging, NotOpened, NoRoom, FullDiskError, BusyError, StaleError, LockedError)


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that could not be taken, and why; `passing` where it is tried again by itself."""

    name: str
    reason: str
    passing: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """Readings that had waited and found their panels: how many, and the panels' ids."""

    count: int
    panels: frozenset[str]


@dataclass(frozen=True, slots=True)
class Same:
    """A file with the content of another one that was taken: it brings nothing more."""

    name: str
    other: str


Told = Outcome | Refused | Placed | Same


class Watch:
    """Takes in the finished files of one folder, step by step; times come from whoever steps it.

    folder   watched with all folders in it
    asked    how its tables are read
    quiet    seconds for which a file must stay unchanged
    patience  seconds of quiet after which a file is taken though nobody was heard to close it
    """

    def __init__(
        self, writer: Writer, inbox: Inbox, folder: Path, asked: Asked, quiet: float = 2.0, patience: float = 60.0
    ) -> None:
        self.folder = folder.resolve()
        library = writer.store.folder.resolve()
        if self.folder.is_relative_to(library) or library.is_relative_to(self.folder):
            raise SprayoutError(
                "the library itself lies there", "Watch a folder of exports beside it.", place=str(folder)
            )
        self.settling = Settling(quiet, patience)
        self._writer = writer
        self._store = writer.store
        self.inbox = inbox
        self._asked = asked
        self._readers = Readers()
        self._mark = asked.mark(self._readers)
        self._names = NamePattern(asked.names) if asked.names else None
        self._panels: object = None
        self._spots: Spots | None = None
        self._told: dict[Path, str] = {}
        self._next_look = float("-inf")

    def scan(self) -> None:
        """Look through the whole folder and mark every file that is not known as it stands."""
        for path in files_in(self.folder):
            if path not in self.settling and not self._known(path):
                self.settling.touched(path)

    def label(self, panel: str) -> str:
        """Return what a panel is called."""
        return self._spots.label(panel) if self._spots else f"…{panel[-6:]}"

    def waiting(self) -> int:
        """Return how many readings from this folder wait for a panel."""
        return sum(self.ours(Path(row.file)) for row in self.inbox.rows.values())

    def refused(self) -> int:
        """Return how many files of this folder could not be taken, or not yet, and are still there."""
        paths = {Path(note.path) for note in self.inbox.refused()} | self.settling.marked()
        return sum(self.ours(path) and path.exists() for path in paths)

    def ours(self, path: Path) -> bool:
        """Say whether a path is in the folder and not hidden or temporary."""
        with suppress(ValueError):
            return not any(passed_over(part) for part in path.relative_to(self.folder).parts)
        return False

    def _known(self, path: Path) -> bool:
        note = self.inbox.files.get(str(path))
        if note is None or note.signature != signature(path) or not self.inbox.believed(note):
            return False
        return note.outcome != REFUSED or note.asked == self._mark

    def step(self, now: float) -> list[Told]:
        """Take what is finished by now, a bounded number of files, and return what came of each."""
        told: list[Told] = []
        ready = self.settling.finished(signature, now)
        if ready or now >= self._next_look:
            self._next_look = now + _LOOK
            self._store.refresh()
            told += self._placed()
        if ready:
            with self.inbox.turn():
                told += self._take(ready[:_TOGETHER], now)
        return told

    def _placed(self) -> list[Placed]:
        """Place the rows that waited for a panel recorded since."""
        panels = tuple(self._store.blobs("panel"))
        if panels == self._panels:
            return []
        self._spots = Spots(self._store)
        placed: dict[str, str] = {}
        with self.inbox.turn():
            if self.inbox.rows:
                placed = place_waiting(self._writer, self.inbox, self._spots)
        self._panels = panels
        return [Placed(len(placed), frozenset(placed.values()))] if placed else []

    def _take(self, paths: list[Path], now: float) -> list[Told]:
        batch = Batch(self._writer, self.inbox, self._spots or Spots(self._store))
        put_off: list[Told] = []
        came: dict[Path, Told | None] = {}
        for path in paths:
            try:
                came[path] = None if self._known(path) else self._take_one(batch, path)
            except (*_PASSING, OSError) as error:
                put_off += self._put_off(path, error, now)
            if len(batch) >= MOST:
                break
        try:
            batch.save()
        except _PASSING as error:
            return put_off + [told for path in came for told in self._put_off(path, error, now)]
        for path in came:
            self.settling.gone(path)
            self._told.pop(path, None)
        return put_off + [told for told in came.values() if told is not None]

    def _take_one(self, batch: Batch, path: Path) -> Told | None:
        former = self.inbox.files.get(str(path))
        turned = (
            former is not None
            and former.outcome != REFUSED
            and not self.inbox.understood_so(former, self._asked.meaning, self._mark)
        )
        named = self._names.label(path.name) if self._names else None
        digest, seen, reason = "", None, ""
        try:
            with copied(path, former.size if former and turned else 0) as copy:
                digest, seen = copy.source.digest, copy.signature
                if earlier := batch.taken(digest) or self.inbox.taken(digest):
                    _same_panel(earlier, named)
                    batch.note(FileNote(str(path), SAME, digest, self._mark, seen, panel=named or ""))
                    return Same(path.name, Path(earlier.path).name) if earlier.path != str(path) else None
                if former and turned:
                    _not_grown(copy, former)
                plugin, _ = self._readers.preview(copy.source, self._asked.options).ready(self._asked.reader)
                rows = self._readers.rows(copy.source, plugin, self._asked.options)
                return batch.take(copy, path, self._mark, rows, named=named, meaning=self._asked.meaning)
        except _PASSING:
            raise
        except SprayoutError as error:
            reason = str(error.fault).removeprefix(f"{path.name}: ").removeprefix(f"{path.name}, ")
            if len(error.faults) > 1:
                reason += f" (and {len(error.faults) - 1} more)"
        except OSError:
            raise
        # One file that nobody foresaw must not keep the others from being taken.
        except Exception as error:  # noqa: BLE001
            reason = f"a fault in sprayout itself: {type(error).__name__}: {error}"[:300]
        if seen is None and (seen := signature(path)) is None:
            return None
        batch.note(FileNote(str(path), REFUSED, digest, self._mark, seen, reason))
        return Refused(path.name, reason)

    def _put_off(self, path: Path, error: SprayoutError | OSError, now: float) -> list[Told]:
        changing = isinstance(error, StillChanging)
        self.settling.put_off(path, now + (self.settling.quiet if changing else _LATER))
        reason = str(error.fault) if isinstance(error, SprayoutError) else str(error.strerror)
        if changing or self._told.get(path) == reason:
            return []
        self._told[path] = reason
        with suppress(SprayoutError):  # no room for the note either: the file is tried again all the same
            self.inbox.note(files=[FileNote(str(path), REFUSED, "", "", reason=reason)])
        return [Refused(path.name, reason, passing=True)]


def _not_grown(copy: Copied, former: FileNote) -> None:
    """Refuse rows added to a file that was taken under other options: its earlier rows would be taken anew."""
    if copy.begins_with == former.digest:
        raise NotReadable("rows were added to it since it was taken under other options", _GROWN)


def _same_panel(earlier: FileNote, named: str | None) -> None:
    """Refuse a content that one file's name says is of one panel and another's of another."""
    if named and earlier.panel and named != earlier.panel:
        raise NotReadable(
            f"holds the same as {Path(earlier.path).name}, which was taken for {earlier.panel}",
            "Where it really is of another panel: sprayout import FILE --panel LABEL",
        )
