"""The layer of what changed: changed documents, those whose rows follow from them, and nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec

from sprayout_core.light import View
from sprayout_library.index.colours import Gathered
from sprayout_library.index.gather import (
    Relations,
    Shelf,
    decoded,
    formula_row,
    head_row,
    names_of,
    panel_row,
    recipe_row,
    seen_row,
)
from sprayout_library.index.rows import Row, RowsFile, key, open_rows, text_of
from sprayout_library.index.seal import Broken, Layer
from sprayout_library.index.slim import Panel, Reading
from sprayout_library.store import Store, path_of
from sprayout_library.store.reader import bulk

__all__ = ["FEW", "Workset", "changed_layer"]

FEW = 1000
"""Up to so many documents are always brought forward; beyond, a quarter of the library."""

Places = Mapping[tuple[str, str], tuple[str, str]]
"""Blob ids before and after, "" where none stands, by kind and id."""

_OUTWARD = {
    "material": ("kind", "title", "density_g_per_ml"),
    "formula": ("kind", "title", "mix", "spray_ready", "questions"),
}
"""What the rows of a document's users follow from: a note on a dye changes no mix that contains it."""


class Workset:
    """What the layers below know, and the documents as they stand at the new head."""

    def __init__(
        self, store: Store, head: str, folder: Path, layers: Sequence[Layer], views: Iterable[tuple[str, int]]
    ) -> None:
        self.store, self.head = store, head
        self.most = max(FEW, layers[0].count // 4)
        self.views = [View(light, observer) for light, observer in views]
        self._below = [open_rows(folder / layer.rows.file) for layer in layers]
        self._contents: dict[str, tuple[str, bytes] | None] = {}

    def close(self) -> None:
        """Close the layers below."""
        for db in self._below:
            db.close()

    def related(self, query: str, identity: str) -> set[str]:
        """Return the ids that a query of one id gives in any layer below."""
        return {text_of(found) for db in self._below for (found,) in db.execute(query, (key(identity),))}

    def put(self, identity: str, blob: str, content: bytes) -> None:
        """Keep a document that was read already."""
        self._contents[identity] = (blob, content)

    def load(self, wanted: Iterable[tuple[str, str]]) -> None:
        """Read many documents at once, by kind and id; those that are not here are remembered as such."""
        missing = [(kind, name) for kind, name in dict.fromkeys(wanted) if name not in self._contents]
        paths = [f"{self.head}:{path_of(kind, name)}" for kind, name in missing]
        found = self.store.reader.infos(paths)
        for (_, name), one in zip(missing, found, strict=True):
            if one is None:
                self._contents[name] = None
        here = [(name, one.id) for (_, name), one in zip(missing, found, strict=True) if one is not None]
        for (name, blob), (_, content) in zip(here, bulk(self.store.git, [blob for _, blob in here]), strict=True):
            self._contents[name] = (blob, content)

    def get(self, identity: str) -> tuple[str, bytes] | None:
        """Return blob id and stored form of a document that was read, or None."""
        return self._contents.get(identity)

    def component(self, identity: str) -> bytes | None:
        """Return the stored form of a material or a formula, read now where it was not."""
        if identity not in self._contents:
            names = [f"{self.head}:{path_of(kind, identity)}" for kind in ("material", "formula")]
            one = next((found for found in self.store.reader.infos(names) if found is not None), None)
            content = self.store.reader.content(one.id) if one else None
            self._contents[identity] = (one.id, content) if one and content is not None else None
        held = self._contents[identity]
        return held[1] if held else None


def changed_layer(work: Workset, places: Places, rows: RowsFile, colours: Path) -> int:
    """Write a layer for these changes; return how many documents have rows in it.

    places   what changed, by kind and id
    """
    try:
        return _Changed(work, places, rows).write(colours)
    finally:
        work.close()


class _Changed:
    def __init__(self, work: Workset, places: Places, rows: RowsFile) -> None:
        self.work, self.places, self.rows = work, places, rows
        self.relations = Relations()
        self.colours = Gathered(work.views)
        self.kinds: dict[str, str] = {}
        self.proving: dict[str, set[str]] = {}
        self.seen: dict[str, set[str]] = {}
        self.shelf = Shelf(self._content)

    def write(self, colours: Path) -> int:
        """Write rows and colours."""
        before = self._read_changed()
        self._affected(before)
        if len(self.kinds) > self.work.most:  # the title of a dye that is in everything
            raise Broken("more follows from what changed than is worth a layer")
        self._load()
        rows = [row for name, kind in self.kinds.items() if (row := self._row(name, kind)) is not None]
        self.rows.documents(rows)
        for table, found in self.relations.tables.items():
            self.rows.put(table, found)
        self.rows.put("touched", ((key(name),) for name in self.kinds))
        self.rows.spots((row, key(spot[0]), *spot[1:]) for spot, row in self.colours.spots.items())
        self.rows.finish()
        self.colours.write(colours)
        return max(len(self.kinds), len(self.places))

    def _load(self) -> None:
        """Read together what the rows take: the documents, the panels that prove them, the readings of panels."""
        wanted = [(kind, name) for name, kind in self.kinds.items()]
        for name, kind in self.kinds.items():
            if kind in ("formula", "recipe"):
                wanted += (("panel", panel) for panel in self._proving(name))
            elif kind == "panel":
                wanted += (("reading", reading) for reading in self._readings(name))
        self.work.load(wanted)

    def _proving(self, thing: str) -> set[str]:
        return self.work.related("SELECT panel FROM proves WHERE thing = ?", thing) | self.proving.get(thing, set())

    def _readings(self, panel: str) -> set[str]:
        query = "SELECT id FROM sees WHERE panel = ? AND kind = 'reading'"
        return self.work.related(query, panel) | self.seen.get(panel, set())

    def _read_changed(self) -> dict[str, bytes]:
        """Read what changed, as it stands and as it stood."""
        now = [(name, new) for (_, name), (_, new) in self.places.items() if new]
        for (name, blob), (_, content) in zip(now, bulk(self.work.store.git, [b for _, b in now]), strict=True):
            self.work.put(name, blob, content)
        was = [(name, old) for (_, name), (old, _) in self.places.items() if old]
        return {
            name: content
            for (name, _), (_, content) in zip(was, bulk(self.work.store.git, [b for _, b in was]), strict=True)
        }

    def _affected(self, before: Mapping[str, bytes]) -> None:
        """Note every document whose row is written: those that changed, and those that follow from them."""
        moved: list[str] = []
        for kind, name in self.places:
            held = self.work.get(name)
            states = [content for content in (before.get(name), held[1] if held else None) if content is not None]
            if kind != "reading" or any(b'"notes"' in one or b'"tags"' in one or b'"title"' in one or
                                        b'"withdrawn"' in one or b'"questions"' in one or b'"aliases"' in one
                                        for one in states):  # fmt: skip
                self.kinds[name] = kind
            if kind in _OUTWARD and (len(states) < 2 or _outward(kind, states[0]) != _outward(kind, states[1])):
                moved.append(name)
            for content in states:
                self._follows(kind, name, decoded(kind, content) if kind in ("panel", "reading") else None)
        walked: set[str] = set()
        while moved:
            thing = moved.pop()
            if thing in walked:
                continue
            walked.add(thing)
            for user in self.work.related("SELECT user FROM uses WHERE thing = ? AND kind = 'recipe'", thing):
                self.kinds[user] = "recipe"
            for user in self.work.related("SELECT user FROM uses WHERE thing = ? AND kind = 'formula'", thing):
                self.kinds[user] = "formula"
                moved.append(user)

    def _follows(self, kind: str, name: str, one: Any) -> None:
        if kind == "panel":
            for formula in one.proofs or {}:
                self.kinds.setdefault(formula, "formula")
                self.proving.setdefault(formula, set()).add(name)
            if one.recipe:
                self.kinds.setdefault(one.recipe, "recipe")
                self.proving.setdefault(one.recipe, set()).add(name)
        elif kind == "reading":
            self.kinds.setdefault(one.panel, "panel")
            self.seen.setdefault(one.panel, set()).add(name)
            self.relations.add("sees", key(one.panel), key(name), "reading")

    def _row(self, name: str, kind: str) -> Row | None:
        held = self.work.get(name)
        if held is None:
            return None
        blob, content = held
        one = decoded(kind, content)
        row = head_row(one, kind, blob, content)
        names_of(row, self.relations)
        if kind == "formula":
            formula_row(row, one, self.shelf, self._panels(name), self.relations)
        elif kind == "recipe":
            recipe_row(row, self.shelf, self._panels(name), self.relations)
        elif kind == "panel":
            panel_row(row, one, self.relations)
            self._measured(row)
        elif kind in ("judgement", "picture"):
            seen_row(row, one, self.relations)
        return row

    def _content(self, identity: str) -> bytes | None:
        held = self.work.get(identity)
        return held[1] if held else self.work.component(identity)

    def _panels(self, thing: str) -> list[Panel]:
        names = sorted(self._proving(thing))
        return [decoded("panel", held[1]) for name in names if (held := self.work.get(name))]

    def _measured(self, row: Row) -> None:
        names = sorted(self._readings(row.id))
        readings: list[Reading] = [decoded("reading", held[1]) for name in names if (held := self.work.get(name))]
        standing = [reading for reading in readings if reading.withdrawn is None]
        replaced = {reading.supersedes for reading in standing}
        for reading in standing:
            if reading.id not in replaced:
                self.colours.add(reading)
                row.readings += 1
                row.seen_at = max(row.seen_at, reading.measured_at or reading.provenance.at)


def _outward(kind: str, content: bytes) -> Any:
    plain = msgspec.json.decode(content)
    return [plain.get(name) for name in _OUTWARD[kind]]
