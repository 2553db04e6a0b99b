"""Making an index and bringing it forward: one layer for everything, thin ones for what changed since."""

from __future__ import annotations

import secrets
import sqlite3
from pathlib import Path

from sprayout_core.light import View
from sprayout_library.index.changed import FEW, Workset, changed_layer
from sprayout_library.index.colours import Gathered
from sprayout_library.index.gather import (
    Relations,
    Shelf,
    decoded,
    formula_row,
    has_words,
    head_row,
    names_of,
    panel_row,
    recipe_row,
    seen_row,
    views_of,
)
from sprayout_library.index.pairs import Pairs
from sprayout_library.index.rows import Row, RowsFile, key, write_rows
from sprayout_library.index.seal import Broken, Layer, Seal, sealed
from sprayout_library.index.slim import Panel, Reading
from sprayout_library.index.standing import folder_of, standing
from sprayout_library.index.stream import every
from sprayout_library.machine import held
from sprayout_library.store import Store, StoreError, manifest
from sprayout_library.store.layout import place_of
from sprayout_library.store.trees import changed_between

__all__ = ["current"]

_PATIENCE = 3600.0
"""Seconds to wait for another command that makes the index."""
_BATCH = 10_000


def current(store: Store, *, anew: str = "") -> tuple[Path, Seal]:
    """Return the folder and the seal of an index that stands where the store reads, made or mended if need be.

    anew   why it is made anew whatever stands there; empty where what stands there may be trusted
    raises SprayoutError where the library cannot be read, OSError where this machine's folder cannot be written
    """
    folder, head = folder_of(store), store.head or ""
    if not anew and (found := standing(store)) is not None:
        return found
    folder.mkdir(parents=True, exist_ok=True)
    with held(folder / "index.lock", seconds=_PATIENCE):
        seal = _forward(store, folder, head, anew)
        seal.write(folder / "seal.json")
        _tidy(folder, seal)
    return folder, seal


def _forward(store: Store, folder: Path, head: str, anew: str) -> Seal:
    """Return the seal of an index at `head`: the one that stands, brought forward, or made from nothing."""
    if anew:
        return _whole(store, folder, head)
    try:
        seal = Seal.read(folder / "seal.json")
        if not seal.check(folder):
            seal = seal.anew(folder)
        if seal.mark != store.facts.mark:
            return _whole(store, folder, head)
        return seal if seal.head == head else _updated(store, folder, seal, head)
    except (Broken, sqlite3.DatabaseError, StoreError):
        return _whole(store, folder, head)


def _tidy(folder: Path, seal: Seal) -> None:
    """Take away files that no seal names any more; one that another program holds open goes next time."""
    named = {part.file for layer in seal.layers for part in (layer.rows, layer.colours)}
    for path in folder.iterdir():
        if path.suffix in (".rows", ".colours") and path.name not in named:
            try:
                path.unlink(missing_ok=True)
            except OSError:
                continue


def _updated(store: Store, folder: Path, seal: Seal, head: str) -> Seal:
    """Return the seal with one more layer for what changed; thin layers are made one with it.

    A layer at most twice as large as what is new is replaced together with it, so that there are few of them
    and each change is worked on a few times only, however large the library is.
    """
    layers = list(seal.layers)
    if not head or not layers[0].after:
        return _whole(store, folder, head)
    changes = changed_between(store.git, layers[-1].after, head)
    while len(layers) > 1 and layers[-1].count <= 2 * len(changes):
        layers.pop()
        changes = changed_between(store.git, layers[-1].after, head)
    if len(layers) == 1 and len(changes) > max(FEW, layers[0].count // 4):
        return _whole(store, folder, head)
    if any(path.startswith("library/") for path in changes) and tuple(_views(store)) != seal.views:
        return _whole(store, folder, head)
    if changes:
        name = secrets.token_hex(8)
        places = {place: ids for path, ids in changes.items() if (place := place_of(path)) is not None}
        rows = write_rows(folder / f"{name}.rows")
        try:
            work = Workset(store, head, folder, layers, seal.views)
            count = changed_layer(work, places, rows, folder / f"{name}.colours")
        except BaseException:
            rows.abandon()
            raise
        layers.append(_sealed(folder, name, layers[-1].after, head, count))
    return Seal(seal.mark, head, seal.views, tuple(layers))


def _sealed(folder: Path, name: str, before: str, after: str, count: int) -> Layer:
    parts = sealed(folder / f"{name}.rows"), sealed(folder / f"{name}.colours")
    return Layer(before, after, count, *parts)


def _views(store: Store) -> list[tuple[str, int]]:
    return views_of(manifest(store))


def _whole(store: Store, folder: Path, head: str) -> Seal:
    """Return the seal of an index made from nothing."""
    name, views = secrets.token_hex(8), _views(store)
    rows = write_rows(folder / f"{name}.rows")
    try:
        count = _Whole(store, rows, Gathered([View(light, observer) for light, observer in views])).write(
            folder / f"{name}.colours"
        )
    except BaseException:
        rows.abandon()
        raise
    return Seal(store.facts.mark, head, tuple(views), (_sealed(folder, name, "", head, count),))


class _Whole:
    """Everything in a library becoming one layer."""

    def __init__(self, store: Store, rows: RowsFile, colours: Gathered) -> None:
        self.store, self.rows, self.colours = store, rows, colours
        self.contents: dict[str, tuple[str, str, bytes]] = {}
        self.panels: dict[str, tuple[Row, Panel]] = {}
        self.proving: dict[str, list[Panel]] = {}
        self.relations = Relations()
        self.count = 0

    def write(self, colours: Path) -> int:
        """Write rows and colours; return how many documents there are."""
        for kind in ("material", "formula", "recipe"):
            for one, blob, content in every(self.store, kind):
                self.contents[one.id] = (kind, blob, content)
        self._panels()
        self._readings()
        self._written()
        self.rows.documents(row for row, _ in self.panels.values())
        for kind in ("batch", "judgement", "library", "picture", "shop"):
            self._others(kind)
        self._flush()
        self.rows.spots((row, key(spot[0]), *spot[1:]) for spot, row in self.colours.spots.items())
        self.rows.finish()
        self.colours.write(colours)
        return self.count

    def _flush(self) -> None:
        for table, found in self.relations.tables.items():
            self.rows.put(table, found)
        self.relations.tables.clear()

    def _panels(self) -> None:
        panel: Panel
        for panel, blob, content in every(self.store, "panel"):
            row = head_row(panel, "panel", blob, content)
            names_of(row, self.relations)
            panel_row(row, panel, self.relations)
            self.panels[panel.id] = (row, panel)
            for thing in {*(panel.proofs or {}), *([panel.recipe] if panel.recipe else [])}:
                self.proving.setdefault(thing, []).append(panel)
        self.count += len(self.panels)
        self._flush()

    def _written(self) -> None:
        shelf = Shelf(lambda identity: found[2] if (found := self.contents.get(identity)) else None)
        batch: list[Row] = []
        for identity, (kind, blob, content) in self.contents.items():
            one = decoded(kind, content)
            row = head_row(one, kind, blob, content)
            names_of(row, self.relations)
            about = self.proving.get(identity, ())
            if kind == "formula":
                formula_row(row, one, shelf, about, self.relations)
            elif kind == "recipe":
                recipe_row(row, shelf, about, self.relations)
            batch.append(row)
            if len(batch) >= _BATCH:
                self.rows.documents(batch)
                batch.clear()
                self._flush()
        self.rows.documents(batch)
        self.count += len(self.contents)

    def _others(self, kind: str) -> None:
        for one, blob, content in every(self.store, kind):
            row = head_row(one, kind, blob, content)
            names_of(row, self.relations)
            if kind in ("judgement", "picture"):
                seen_row(row, one, self.relations)
            self.rows.documents([row])
            self.count += 1

    def _readings(self) -> None:
        """Take all readings in as they come; panels where one supersedes another are gone through once more."""
        careful: set[str] = set()
        seen = Pairs()
        add, counted = self.colours.add, self._counted
        reading: Reading
        for reading, blob, content in every(self.store, "reading"):
            seen.add(reading.panel, reading.id)
            if reading.supersedes:
                careful.add(reading.panel)
            if reading.withdrawn is None:
                add(reading)
                counted(reading)
            if has_words(reading):
                row = head_row(reading, "reading", blob, content)
                names_of(row, self.relations)
                self.rows.documents([row])
        self.count += len(seen)
        self.rows.pairs(seen.ordered(), "reading")
        if careful:
            self._again(careful)

    def _counted(self, reading: Reading) -> None:
        if held := self.panels.get(reading.panel):
            row, at = held[0], reading.measured_at or reading.provenance.at
            row.readings += 1
            if at > row.seen_at:
                row.seen_at = at

    def _again(self, panels: set[str]) -> None:
        self.colours.forget(panels)
        by_panel: dict[str, list[Reading]] = {panel: [] for panel in panels}
        reading: Reading
        for reading, _, _ in every(self.store, "reading"):
            if reading.panel in by_panel and reading.withdrawn is None:
                by_panel[reading.panel].append(reading)
        for panel, readings in by_panel.items():
            replaced = {reading.supersedes for reading in readings}
            if held := self.panels.get(panel):
                held[0].readings, held[0].seen_at = 0, ""
            for reading in readings:
                if reading.id not in replaced:
                    self.colours.add(reading)
                    self._counted(reading)
