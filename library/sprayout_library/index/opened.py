"""An index opened at one moment: its layers, newest first, asked as one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from sprayout_library.index.rows import folded, has_words, key, open_rows, text_of
from sprayout_library.index.seal import Broken, Seal

if TYPE_CHECKING:
    from sprayout_library.index.kept import Kept
    from sprayout_library.store import Store

__all__ = ["Index", "Known", "Sprayed", "asking"]

_TRIES = 5
_MOST = 20_000
Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class Known:
    """What the index knows of one document.

    status    sprayed, changed, never, open, unknown; empty for kinds that are not sprayed
    readings  of a panel: how many readings stand; `seen_at` is the time of the newest
    mix       names the exact composition of a formula; None where it has none
    """

    id: str
    kind: str
    title: str
    label: str
    role: str
    at: str
    withdrawn: bool
    asked: int
    status: str
    readings: int
    seen_at: str
    mix: bytes | None

    @property
    def name(self) -> str:
        """The title, else the label code, else the end of the id."""
        return self.title or self.label or f"…{self.id[-6:]}"


@dataclass(frozen=True, slots=True)
class Sprayed:
    """What a panel was sprayed of, by ids: its recipe and its ground where it names them, the mixes of its coats."""

    recipe: str
    ground: str
    formulas: tuple[str, ...]


COLUMNS = "id, kind, title, label, role, at, withdrawn, asked, status, readings, seen_at, mix"


def known(row: Sequence[Any]) -> Known:
    """Return a row of COLUMNS as what is known."""
    identity, kind, title, label, role, at, withdrawn, asked, status, readings, seen_at, mix = row[:12]
    return Known(
        text_of(identity), kind, title, label, role, at, bool(withdrawn), asked, status, readings, seen_at, mix
    )


class Level:
    """One layer opened: its rows, and its colours, which are read when they are first asked for.

    Both files are held from the start: who brings the index forward takes their names away, not what they hold.
    """

    def __init__(self, folder: Path, rows: str, colours: str) -> None:
        self._file = (folder / colours).open("rb")
        try:
            self.db = open_rows(folder / rows)
            self.words = has_words(self.db)
        except BaseException:
            self._file.close()
            raise
        self._colours: Kept | None = None
        self._touched: frozenset[bytes] | None = None

    @property
    def colours(self) -> Kept:
        """The layer's colours."""
        if self._colours is None:
            from sprayout_library.index.kept import Kept

            self._colours = Kept(self._file)
        return self._colours

    def touched(self) -> frozenset[bytes]:
        """Return the documents about which only this layer and newer ones speak."""
        if self._touched is None:
            self._touched = frozenset(found for (found,) in self.db.execute("SELECT id FROM touched"))
        return self._touched

    def close(self) -> None:
        """Close both files."""
        self.db.close()
        self._file.close()


class Index:
    """The index of a library as it stands; a context manager."""

    def __init__(self, folder: Path, seal: Seal) -> None:
        self.seal = seal
        self.views = seal.views
        self.levels: list[Level] = []
        self.kept: dict[Any, Any] = {}
        try:
            for layer in reversed(seal.layers):
                self.levels.append(Level(folder, layer.rows.file, layer.colours.file))
        except (OSError, sqlite3.Error) as error:
            self.close()
            raise Broken(str(error)) from None

    @classmethod
    def open(cls, store: Store, *, anew: str = "") -> Index:
        """Open the index of a library where the store reads: made, mended or brought forward first if need be.

        anew   why it is made anew whatever stands there; empty where what stands there may be trusted
        """
        for _ in range(_TRIES):
            folder, seal = _current(store, anew)
            try:
                return cls(folder, seal)
            except Broken:  # another command brought it forward and took the old files away
                continue
        folder, seal = _current(store, "the files vanish as they are opened")
        return cls(folder, seal)

    def __enter__(self) -> Index:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close every file."""
        for level in self.levels:
            level.close()

    def rows(self, query: str, parameters: Sequence[Any] = ()) -> Iterator[tuple[Any, ...]]:
        """Yield the rows of a query whose first column is the id of a document, from every layer where it counts."""
        newer: list[frozenset[bytes]] = []
        for level in self.levels:
            for row in level.db.execute(query, parameters):
                if not any(row[0] in touched for touched in newer):
                    yield row
            newer.append(level.touched() if level is not self.levels[-1] else frozenset())

    def get(self, identity: str) -> Known | None:
        """Return what is known of a document, or None where it is not here."""
        found = next(self.rows(f"SELECT {COLUMNS} FROM doc WHERE id = ?", (key(identity),)), None)
        return None if found is None else known(found)

    def everything(self) -> Iterator[tuple[Known, tuple[str, ...]]]:
        """Yield every document that has a row, with its aliases; most readings have none."""
        for row in self.rows(f"SELECT {COLUMNS}, aliases FROM doc"):
            yield known(row), tuple(one for one in row[12].split("\n") if one)

    def readings_ending(self, end: str) -> list[str]:
        """Return the readings whose id ends so."""
        plain = end.removeprefix("…").removeprefix("...").replace("-", "").lower()
        if not plain or set(plain) - set("0123456789abcdef"):
            return []
        query = "SELECT id FROM sees WHERE kind = 'reading' AND lower(hex(substr(id, ?))) LIKE ?"
        asked = (-(len(plain) + 1) // 2, f"%{plain}")
        return [text_of(raw) for raw in dict.fromkeys(
            raw for level in self.levels for (raw,) in level.db.execute(query, asked))]  # fmt: skip

    def all_of(self, kind: str) -> list[Known]:
        """Return every document of a kind, by name."""
        rows = (known(row) for row in self.rows(f"SELECT {COLUMNS} FROM doc WHERE kind = ?", (kind,)))
        return sorted(rows, key=lambda one: (one.name.casefold(), one.id))

    def related(self, query: str, identity: str) -> list[str]:
        """Return the ids that a query of one id gives in any layer, each once."""
        found = (one for level in self.levels for (one,) in level.db.execute(query, (key(identity),)))
        return [text_of(one) for one in dict.fromkeys(found)]

    def proving(self, identity: str) -> list[str]:
        """Return the panels that prove a formula or a recipe as it stands now."""
        query = "SELECT thing, panel FROM stands WHERE thing = ?"
        return [text_of(panel) for _, panel in self.rows(query, (key(identity),))]

    def sprayed(self, panel: str) -> Sprayed:
        """Return what a panel was sprayed of, and over what."""
        query = "SELECT panel, kind, thing FROM sprayed WHERE panel = ? ORDER BY place"
        found = [(kind, text_of(thing)) for _, kind, thing in self.rows(query, (key(panel),))]
        first = dict(reversed(found))
        formulas = tuple(thing for kind, thing in found if kind == "formula")
        return Sprayed(first.get("recipe", ""), first.get("ground", ""), formulas)

    def panels_of(self, identity: str) -> list[str]:
        """Return the panels that pinned a formula, as it stands or as it was, or were sprayed of a recipe."""
        return self.related("SELECT panel FROM proves WHERE thing = ?", identity)

    def matching(self, text: str, *kinds: str) -> list[Known]:
        """Return what goes by a name: title, label code, alias or the end of an id; what stands wins over what was
        withdrawn.
        """
        named = (text_of(raw) for (raw,) in self.rows("SELECT id FROM called WHERE name = ?", (folded(text),)))
        found = [one for identity in dict.fromkeys(named) if (one := self.get(identity))]
        found = [one for one in found if not kinds or one.kind in kinds] or self._by_end(text, kinds)
        found.sort(key=lambda one: (one.kind, folded(one.name), one.id))
        return [one for one in found if not one.withdrawn] or found

    def _by_end(self, text: str, kinds: Sequence[str]) -> list[Known]:
        end = folded(text).removeprefix("…").removeprefix("...").replace("-", "")
        if len(end) < 4 or set(end) - set("0123456789abcdef"):
            return []
        query = f"SELECT {COLUMNS} FROM doc WHERE lower(hex(substr(id, ?))) LIKE ?"
        found = [known(row) for row in self.rows(query, (-(len(end) + 1) // 2, f"%{end}"))]
        return [one for one in found if not kinds or one.kind in kinds]

    def named(self, text: str, *kinds: str) -> Known:
        """Return the one document of a name. Raises SprayoutError where there is none, or several."""
        from sprayout_core.errors import SprayoutError

        found = self.matching(text, *kinds)
        if not found:
            like = self._like(text, kinds)
            remedy = f"Did you mean {' or '.join(like)}?" if like else "See `sprayout list`."
            sort = f"no {' or '.join(map(_word, kinds))}" if kinds else "nothing"
            raise SprayoutError(f"{sort} is called {text!r}", remedy)
        if len(found) > 1:
            told = "; ".join(f"{_word(one.kind)} {one.name} (…{one.id[-6:]})" for one in found[:8])
            raise SprayoutError(f"{text!r} could be {told}", f"Name it by the end of its id: …{found[0].id[-6:]}")
        return found[0]

    def _like(self, text: str, kinds: Sequence[str]) -> list[str]:
        """Return a few names that hold the words of a text, or look like it."""
        from difflib import get_close_matches
        from itertools import islice

        from sprayout_library.index.words import holding, tokens

        hits = (self.get(identity) for identity, _ in islice(holding(self, text, kinds), 50)) if tokens(text) else ()
        named = list(dict.fromkeys(one.name for one in hits if one and not one.withdrawn))[:3]
        return named or get_close_matches(text, [one.name for kind in kinds for one in self.all_of(kind)][:_MOST], n=3)


def _word(kind: str) -> str:
    return {"formula": "mix", "batch": "cup"}.get(kind, kind)


def asking(store: Store, action: Callable[[Index], Answer]) -> Answer:
    """Return what an action finds in the index of a library; one that proves damaged on the way is made anew."""
    try:
        with Index.open(store) as index:
            return action(index)
    except (Broken, sqlite3.DatabaseError) as error:
        with Index.open(store, anew=str(error) or "damaged") as index:
            return action(index)


def _current(store: Store, anew: str) -> tuple[Path, Seal]:
    from sprayout_library.index.standing import standing

    if not anew and (found := standing(store)) is not None:
        return found
    from sprayout_library.index.making import current

    return current(store, anew=anew)
