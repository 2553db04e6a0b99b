"""The rows of one layer in SQLite: what each document is called, what is in it, what proves it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Row", "folded", "key", "open_rows", "text_of", "write_rows"]


def key(identity: str) -> bytes:
    """Return an id as the sixteen bytes it stands in the rows as."""
    return bytes.fromhex(identity.replace("-", ""))


def text_of(raw: bytes) -> str:
    """Return the id of sixteen bytes."""
    plain = raw.hex()
    return f"{plain[:8]}-{plain[8:12]}-{plain[12:16]}-{plain[16:20]}-{plain[20:]}"


def folded(text: str) -> str:
    """Return a name as names are compared: without case, spaces single."""
    return " ".join(text.casefold().split())


@dataclass(slots=True)
class Row:
    """What is kept of one document; `more` are the rows of other tables that hang on it, by table."""

    id: str
    kind: str
    blob: str = ""
    title: str = ""
    label: str = ""
    role: str = ""
    aliases: str = ""
    notes: str = ""
    tags: str = ""
    materials: str = ""
    at: str = ""
    withdrawn: int = 0
    asked: int = 0
    status: str = ""
    readings: int = 0
    seen_at: str = ""
    mix: bytes | None = None

    def values(self) -> tuple[object, ...]:
        """Return the row as its table has it."""
        return (
            key(self.id), self.kind, bytes.fromhex(self.blob), self.title, self.label, self.role, self.aliases,
            self.notes, self.tags, self.materials, self.at, self.withdrawn, self.asked, self.status, self.readings,
            self.seen_at, self.mix,
        )  # fmt: skip


TABLES = """
CREATE TABLE doc (n INTEGER PRIMARY KEY, id BLOB, kind TEXT, blob BLOB, title TEXT, label TEXT, role TEXT,
    aliases TEXT, notes TEXT, tags TEXT, materials TEXT, at TEXT, withdrawn INT, asked INT, status TEXT,
    readings INT, seen_at TEXT, mix BLOB);
CREATE TABLE called (name TEXT, id BLOB, PRIMARY KEY (name, id)) WITHOUT ROWID;
CREATE TABLE share (material BLOB, value REAL, formula BLOB, exact TEXT, basis TEXT,
    PRIMARY KEY (material, value, formula)) WITHOUT ROWID;
CREATE TABLE uses (thing BLOB, user BLOB, kind TEXT, PRIMARY KEY (thing, user)) WITHOUT ROWID;
CREATE TABLE proves (thing BLOB, kind TEXT, panel BLOB, PRIMARY KEY (thing, panel)) WITHOUT ROWID;
CREATE TABLE stands (thing BLOB, panel BLOB, PRIMARY KEY (thing, panel)) WITHOUT ROWID;
CREATE TABLE sprayed (panel BLOB, place INT, kind TEXT, thing BLOB, PRIMARY KEY (panel, place)) WITHOUT ROWID;
CREATE TABLE sees (panel BLOB, id BLOB, kind TEXT, PRIMARY KEY (panel, id)) WITHOUT ROWID;
CREATE TABLE judged (quality TEXT, panel BLOB, judgement BLOB, place INT, of INT, against BLOB,
    PRIMARY KEY (quality, panel, judgement)) WITHOUT ROWID;
CREATE TABLE standard (recipe BLOB, panel BLOB, PRIMARY KEY (recipe, panel)) WITHOUT ROWID;
CREATE TABLE spot (n INTEGER PRIMARY KEY, panel BLOB, zone TEXT, step TEXT, stage TEXT, grade TEXT);
CREATE TABLE touched (id BLOB PRIMARY KEY) WITHOUT ROWID;
"""
INDEXES = """
CREATE INDEX doc_id ON doc (id);
CREATE INDEX doc_kind ON doc (kind, status);
CREATE INDEX doc_mix ON doc (mix) WHERE mix IS NOT NULL;
CREATE INDEX doc_asked ON doc (asked) WHERE asked > 0;
CREATE INDEX spot_panel ON spot (panel);
"""
_WORDS = """CREATE VIRTUAL TABLE words USING fts5 (title, label, aliases, notes, tags, materials,
    content='doc', content_rowid='n', tokenize='unicode61 remove_diacritics 2', detail=column, columnsize=0)"""
_PAIRS = """WITH RECURSIVE place (n) AS (VALUES (0) UNION ALL SELECT n + 1 FROM place WHERE n + 1 < ?1)
    INSERT OR IGNORE INTO sees SELECT substr(?2, 32 * n + 1, 16), substr(?2, 32 * n + 17, 16), ?3 FROM place"""
_PART = 2000 * 32
TABLE_COLUMNS = {
    "called": 2, "share": 5, "uses": 3, "proves": 3, "stands": 2, "sprayed": 4, "sees": 3, "judged": 6,
    "standard": 2, "touched": 1,
}  # fmt: skip


def _finds_words() -> bool:
    """Return whether this SQLite has full-text search; without it rows are looked through.

    Tried elsewhere first: where no journal is kept, a table that could not be made is not taken back.
    """
    with closing(sqlite3.connect(":memory:")) as trial:
        try:
            trial.execute(_WORDS)
        except sqlite3.OperationalError as error:
            if "no such module" not in str(error):
                raise
            return False
    return True


class RowsFile:
    """A layer being written: rows are put in, then it is finished and never changed again."""

    def __init__(self, path: Path) -> None:
        path.unlink(missing_ok=True)
        self.path = path
        self.db = sqlite3.connect(path, isolation_level=None)
        self.db.executescript(
            "PRAGMA page_size=8192; PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF; PRAGMA cache_size=-65536;"
            "PRAGMA temp_store=MEMORY; PRAGMA locking_mode=EXCLUSIVE; BEGIN;" + TABLES
        )

    def documents(self, rows: Iterable[Row]) -> None:
        """Put documents in."""
        marks = ",".join("?" * 17)
        self.db.executemany(
            "INSERT INTO doc (id, kind, blob, title, label, role, aliases, notes, tags, materials, at, withdrawn, "
            f"asked, status, readings, seen_at, mix) VALUES ({marks})",
            (row.values() for row in rows),
        )

    def put(self, table: str, rows: Iterable[tuple[object, ...]]) -> None:
        """Put the rows of another table in; doubled ones stand once."""
        marks = ",".join("?" * TABLE_COLUMNS[table])
        self.db.executemany(f"INSERT OR IGNORE INTO {table} VALUES ({marks})", rows)

    def pairs(self, pairs: bytes, kind: str) -> None:
        """Put down what many panels were seen by: pairs of keys, one after the other, all of one kind.

        Parts of them are taken apart inside SQLite, which is several times as fast as row by row.
        """
        for start in range(0, len(pairs), _PART):
            part = pairs[start : start + _PART]
            self.db.execute(_PAIRS, (len(part) // 32, part, kind))

    def spots(self, rows: Iterable[tuple[object, ...]]) -> None:
        """Put measured spots in: number, panel, zone, step, stage, grade."""
        self.db.executemany("INSERT INTO spot VALUES (?,?,?,?,?,?)", rows)

    def finish(self) -> None:
        """Make what helps finding and close the file."""
        for statement in INDEXES.strip().split("\n"):
            self.db.execute(statement)
        if _finds_words():
            self.db.execute(_WORDS)
            self.db.execute("INSERT INTO words (words) VALUES ('rebuild')")
        self.db.execute("COMMIT")
        self.db.close()

    def abandon(self) -> None:
        """Close and take the file away."""
        self.db.close()
        self.path.unlink(missing_ok=True)


def write_rows(path: Path) -> RowsFile:
    """Begin a layer's rows."""
    return RowsFile(path)


def open_rows(path: Path) -> sqlite3.Connection:
    """Open finished rows to read: the file never changes, so nobody waits for anybody."""
    return sqlite3.connect(f"{path.as_uri()}?mode=ro&immutable=1", uri=True, check_same_thread=False)


def has_words(db: sqlite3.Connection) -> bool:
    """Return whether the layer has a full-text index."""
    with closing(db.execute("SELECT 1 FROM sqlite_master WHERE name = 'words'")) as found:
        return found.fetchone() is not None
