"""The inbox of one library on this machine: what came in, what could not be taken and why, what waits for a panel."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from sys import intern
from typing import Any

from sprayout_core.tables import TableReading, from_tree, tree
from sprayout_library.inbox.copying import Signature
from sprayout_library.inbox.journal import Journal, JournalError
from sprayout_library.machine import held, home
from sprayout_library.store import Store

__all__ = ["REFUSED", "SAME", "TAKEN", "FileNote", "Inbox", "WaitingRow", "row_key"]

TAKEN, SAME, REFUSED = "taken", "same", "refused"
_PATIENCE = 300.0


@dataclass(frozen=True, slots=True)
class FileNote:
    """What came of one file.

    outcome    "taken" (rows may wait for a panel), "same" (as another file, which was taken), "refused"
    digest     SHA-256 of its content, and `size` of it
    asked      a digest of the options it was read with
    panel      what its name says it is of, "" where that was not asked
    commit     the version of the library that holds its readings
    meaning    a digest of what of the options makes its rows the readings they are
    """

    path: str
    outcome: str
    digest: str
    asked: str
    signature: Signature | None = None
    reason: str = ""
    panel: str = ""
    fresh: int = 0
    known: int = 0
    commit: str = ""
    at: str = ""
    meaning: str = ""

    @property
    def size(self) -> int:
        """Bytes of the content."""
        return self.signature[0] if self.signature else 0


@dataclass(frozen=True, slots=True)
class WaitingRow:
    """A reading that waits for its panel: from which line of which file, under what name, and why.

    named   what the file's name says it is of, None where it says nothing
    number  which of identical rows of its file it is
    place   where in the journal all of its data stands
    """

    key: str
    file: str
    digest: str
    line: int
    label: str
    named: str | None
    reason: str
    number: int
    place: int


def row_key(row: TableReading, number: int) -> str:
    """Return what tells a row from all others: its content, and which of identical rows of its file it is.

    Its line and what the file says of all rows are left out: a file that grew, or was exported again, has the
    same rows.
    """
    said = {name: value for name, value in tree(row).items() if name not in ("is", "line", "column", "keys")}
    text = json.dumps([said, number], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:32]


class Inbox:
    """What this machine remembers of the files it took in for one library; outside the library, never synced.

    Everything is read again from the journal, which is only added to. `files` holds what came of each path,
    `contents` of each content, `rows` what waits, `placed` what was decided about rows by hand.
    """

    def __init__(self, store: Store, clock: Callable[[], datetime]) -> None:
        name = f"{store.facts.facts.path.stem}-{store.facts.mark[:8]}"
        self.folder = home() / "inbox" / name
        self.journal = Journal(self.folder / "journal.jsonl")
        self._store = store
        self._clock = clock
        self.files: dict[str, FileNote] = {}
        self.contents: dict[str, FileNote] = {}
        self.rows: dict[str, WaitingRow] = {}
        self.placed: dict[str, str] = {}
        self._believed: dict[str, bool] = {}
        self.refresh()

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Be the only command that takes files in for this library while inside, with everything noted known."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise JournalError(
                f"cannot be made: {error.strerror}", "Check its permissions.", place=str(self.folder)
            ) from None
        with held(self.folder / "lock", seconds=_PATIENCE):
            self.refresh()
            yield

    def refresh(self) -> None:
        """Take in what other commands noted meanwhile."""
        for place, entry in self.journal.fresh():
            try:
                self._apply(place, entry)
            except (KeyError, TypeError, ValueError):  # an entry of another make: what it says is asked again
                continue

    def _apply(self, place: int, entry: Mapping[str, Any]) -> None:
        what = entry["what"]
        if what == "file":
            seen = entry.get("signature")
            note = FileNote(
                str(entry["path"]), str(entry["outcome"]), str(entry.get("digest", "")), str(entry.get("asked", "")),
                (int(seen[0]), int(seen[1]), int(seen[2]), int(seen[3])) if seen else None,
                str(entry.get("reason", "")), str(entry.get("panel", "")), int(entry.get("fresh", 0)),
                int(entry.get("known", 0)), str(entry.get("commit", "")), str(entry.get("at", "")),
                str(entry.get("meaning", "")),
            )  # fmt: skip
            self.files[note.path] = note
            former = self.contents.get(note.digest)
            if (
                note.digest
                and note.outcome != SAME
                and not (former and former.outcome == TAKEN and note.outcome == REFUSED)
            ):
                self.contents[note.digest] = note
        elif what == "row":
            key = str(entry["key"])
            if key not in self.placed:
                named = entry.get("named")
                # Thousands of rows share these: each is kept once.
                file, digest, reason = (intern(str(entry[name])) for name in ("file", "digest", "reason"))
                self.rows[key] = WaitingRow(
                    key, file, digest, int(entry["line"]), str(entry["label"]), intern(str(named)) if named else None,
                    reason, int(entry["number"]), place,
                )  # fmt: skip
        elif what == "placed":
            self.placed[str(entry["key"])] = str(entry["reading"])
            self.rows.pop(str(entry["key"]), None)
        elif what == "forgotten":
            self.files.pop(str(entry["path"]), None)

    def believed(self, note: FileNote) -> bool:
        """Say whether a note still holds: a library put back to an earlier state no longer has what it tells of."""
        if not note.commit:
            return True
        if note.commit not in self._believed:
            self._believed[note.commit] = self._store.reader.info(note.commit) is not None
        return self._believed[note.commit]

    def taken(self, digest: str) -> FileNote | None:
        """Return what came of a content that was taken, or None."""
        note = self.contents.get(digest)
        return note if note and note.outcome == TAKEN and self.believed(note) else None

    def understood_so(self, former: FileNote, meaning: str, asked: str) -> bool:
        """Say whether a file's content was taken as one would take it now, whatever version of the program did it."""
        taken = self.contents.get(former.digest) or former
        return taken.meaning == meaning if taken.meaning else taken.asked == asked

    def refused(self) -> list[FileNote]:
        """Return the files that could not be taken, leaving out those whose content was taken since."""
        return [note for note in self.files.values() if note.outcome == REFUSED and not self.taken(note.digest)]

    def data(self, waiting: WaitingRow) -> TableReading:
        """Return all the data of a waiting row. Raises JournalError where it is damaged."""
        found = from_tree(self.journal.at(waiting.place)["row"])
        assert isinstance(found, TableReading)
        return found

    def note(
        self,
        files: Sequence[FileNote] = (),
        waiting: Iterable[tuple[str, FileNote, TableReading, str, int]] = (),
        placed: Mapping[str, str] | None = None,
    ) -> None:
        """Note what came of files, rows that wait (key, file, row, reason, number) and rows that were placed.

        All of it goes to the disk in one go, rows before the files they came from: where that is cut short, the
        file is not noted and is taken again, and its rows are known by their keys. Only in a `turn`.
        """
        at = self._clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        entries: list[dict[str, Any]] = []
        for key, file, row, reason, number in waiting:
            if key not in self.rows and key not in self.placed:
                entries.append({"what": "row", "key": key, "file": file.path, "digest": file.digest, "line": row.line,
                                "label": row.label, "named": file.panel, "reason": reason, "number": number,
                                "row": tree(row)})  # fmt: skip
        entries += [{"what": "placed", "key": key, "reading": reading} for key, reading in (placed or {}).items()]
        entries += [_entry(file, at) for file in files]
        self.journal.add(entries)
        self.refresh()

    def forget(self, path: Path | str) -> None:
        """Forget what came of a path, so that it is looked at anew; its content stays known. Only in a `turn`."""
        self.journal.add([{"what": "forgotten", "path": str(path)}])
        self.refresh()


def _entry(file: FileNote, at: str) -> dict[str, Any]:
    said: dict[str, Any] = {
        "what": "file", "path": file.path, "outcome": file.outcome, "digest": file.digest, "asked": file.asked,
        "signature": list(file.signature) if file.signature else None, "reason": file.reason, "panel": file.panel,
        "fresh": file.fresh, "known": file.known, "commit": file.commit, "at": file.at or at,
        "meaning": file.meaning,
    }  # fmt: skip
    return {name: value for name, value in said.items() if value not in ("", 0, None)}
