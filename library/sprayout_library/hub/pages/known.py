"""What is worked out of a library once and kept as long as it stands at the same commit."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sprayout_core.compare import questions_of
from sprayout_core.documents import Document, Judgement, Library, Panel, Picture, Reading, read
from sprayout_core.errors import SprayoutError
from sprayout_library.index import asking
from sprayout_library.index.rows import key, text_of
from sprayout_library.record import Entry, Evidence, Names
from sprayout_library.record.evidence import judged_panels
from sprayout_library.store import Store
from sprayout_library.store.layout import ID, path_of

if TYPE_CHECKING:
    from sprayout_core.light import View
    from sprayout_library.film.knowing import Known as Learnt
    from sprayout_library.hub.pages.pieces import Piece
    from sprayout_library.hub.pages.rack import Hung, Rack, Shot
    from sprayout_library.index import Index

__all__ = ["Known", "Seen", "evidence_about"]

#: Pieces and documents kept ready at once.
_MOST, _AT_HAND = 20_000, 2_000


Earlier = tuple["Rack[Hung] | None", "Rack[Shot] | None"]


@dataclass(slots=True)
class Seen:
    """A library as it stood at one commit: its names, its panels in few words, pieces asked for so far."""

    head: str | None
    names: Names
    earlier: Earlier = (None, None)
    _rack: Rack[Hung] | None = None
    _shots: Rack[Shot] | None = None
    _pieces: dict[str, Piece] = field(default_factory=dict)
    _lightness: Mapping[str, float] | None = None
    _learnt: Learnt | SprayoutError | None = None
    _view: View | None = None
    _manifest: tuple[Library | None] | None = None
    _of: dict[str, list[Hung]] = field(default_factory=dict)
    _orders: dict[str, list[Hung]] = field(default_factory=dict)
    _documents: dict[str, Document | None] = field(default_factory=dict)
    _learning: threading.Lock = field(default_factory=threading.Lock)
    _lock: threading.RLock = field(default_factory=threading.RLock)

    @property
    def last(self) -> Earlier:
        """What was read of panels and pictures last, for the next commit to begin with."""
        return self._rack or self.earlier[0], self._shots or self.earlier[1]

    def rack(self, store: Store) -> Rack[Hung]:
        """Return every panel in few words."""
        from sprayout_library.hub.pages.rack import Hung, racked

        with self._lock:
            if self._rack is None:
                self._rack = racked(store, "panel", Hung, self.earlier[0])
            return self._rack

    def of_thing(self, store: Store, identity: str) -> list[Hung]:
        """Return the panels of a recipe, or those that sprayed a formula, by when they were sprayed."""
        rack = self.rack(store)
        with self._lock:
            if not self._of:
                found: dict[str, list[Hung]] = {"": []}
                for one in rack.read.values():
                    for thing in {*(one.proofs or {}), *([one.recipe] if one.recipe else [])}:
                        found.setdefault(thing, []).append(one)
                for panels in found.values():
                    panels.sort(key=lambda one: (one.at, one.id))
                self._of = found
            return self._of.get(identity, [])

    def in_order(self, store: Store, order: str, sort: Callable[[list[Hung]], None]) -> list[Hung]:
        """Return every panel that stands, in an order that is worked out once."""
        rack = self.rack(store)
        with self._lock:
            if order not in self._orders:
                panels = [one for one in rack.read.values() if not one.withdrawn]
                sort(panels)
                self._orders[order] = panels
            return self._orders[order]

    def find(self, store: Store, identity: str) -> Document | None:
        """Return a document as it stood; what was asked for lately is at hand."""
        with self._lock:
            if identity in self._documents:
                return self._documents[identity]
        entry = self.names.entries.get(identity)
        found = read_of(store, entry.kind, identity) if entry else store.get(identity)
        with self._lock:
            if len(self._documents) >= _AT_HAND:
                self._documents.clear()
            self._documents[identity] = found
        return found

    def manifest(self, store: Store) -> Library | None:
        """Return the library's manifest, where it has one."""
        from sprayout_library.record.between import manifest_of

        with self._lock:
            if self._manifest is None:
                self._manifest = (manifest_of(store),)
            return self._manifest[0]

    def view(self, store: Store) -> View:
        """Return the light and the observer that the library chose."""
        from sprayout_library.record.measured import default_view

        with self._lock:
            if self._view is None:
                self._view = default_view(self.manifest(store))
            return self._view

    def shots(self, store: Store) -> Rack[Shot]:
        """Return every picture in few words."""
        from sprayout_library.hub.pages.rack import Shot, racked

        with self._lock:
            if self._shots is None:
                self._shots = racked(store, "picture", Shot, self.earlier[1])
            return self._shots

    def pieces(self, store: Store, panels: Iterable[str]) -> dict[str, Piece]:
        """Return panels as pieces, in the order asked; what is no panel is left out."""
        rack = self.rack(store)
        asked = [name for name in panels if name in rack.read]
        with self._lock:
            missing = [name for name in asked if name not in self._pieces]
            if missing:
                if len(self._pieces) > _MOST:
                    self._pieces.clear()
                    missing = asked
                self._pieces.update(self._made(store, rack, missing))
            return {name: self._pieces[name] for name in asked}

    def _made(self, store: Store, rack: Rack[Hung], panels: list[str]) -> dict[str, Piece]:
        from sprayout_library.hub.pages.pieces import piece_of
        from sprayout_library.hub.pages.rack import looked_at

        view = self.view(store)
        looked = asking(store, lambda index: looked_at(index, panels))
        return {name: piece_of(rack.read[name], looked.get(name, ()), self.names, view) for name in panels}

    def knowledge(self, store: Store) -> Learnt:
        """Return what the panels teach, learned once. Raises SprayoutError where there is nothing to learn from."""
        from sprayout_library.film.knowing import known

        with self._learning:
            if self._learnt is None:
                try:
                    self._learnt = known(store)
                except SprayoutError as error:
                    self._learnt = error
            if isinstance(self._learnt, SprayoutError):
                raise SprayoutError(self._learnt.fault.problem, self._learnt.fault.remedy)
            return self._learnt

    def lightness(self, store: Store) -> Mapping[str, float]:
        """Return L* of every measured panel by id."""
        from sprayout_library.hub.pages.rack import lightness_of

        rack = self.rack(store)
        with self._lock:
            if self._lightness is None:
                self._lightness = asking(store, lambda index: lightness_of(index, rack))
            return self._lightness


class Known:
    """What was worked out of libraries last."""

    def __init__(self) -> None:
        self._seen: dict[str, Seen] = {}
        self._lock = threading.Lock()

    def of(self, store: Store) -> Seen:
        """Return the library as the store reads it."""
        key = str(store.folder)
        with self._lock:
            held = self._seen.get(key)
        if held is None or held.head != store.head:
            names = asking(store, lambda index: _names(index, store))
            held = Seen(store.head, names, held.last if held else (None, None))
            with self._lock:
                self._seen[key] = held
        return held


def _names(index: Index, store: Store) -> Names:
    """Return what everything is called; readings, which go by their panel, are left out."""
    query = "SELECT id, kind, title, label, role, aliases, withdrawn, asked FROM doc"
    found = []
    for raw, kind, title, label, role, aliases, withdrawn, asked in index.rows(query):
        name = text_of(raw)
        atoms: tuple[str, ...] = ()
        if asked and (document := store.get(name)) is not None:
            atoms = tuple(questions_of(document))
        other = tuple(one for one in aliases.split("\n") if one)
        found.append(Entry(name, kind, title, label, role, other, bool(withdrawn), atoms))
    return Names.of(found)


def read_of(store: Store, kind: str, identity: str) -> Document | None:
    """Return a document of a kind that is known, or None: its place need not be looked for."""
    if not ID.fullmatch(identity):
        return None
    content = store.reader.content(f"{store.head}:{path_of(kind, identity)}")
    return None if content is None else read(content)


def evidence_about(store: Store, panels: Iterable[str]) -> Evidence:
    """Return some panels with their readings, judgements and pictures."""
    asked = dict.fromkeys(panels)

    def seen(index: Index) -> list[tuple[str, str]]:
        query = "SELECT id, kind FROM sees WHERE panel = ?"
        return [(text_of(raw), kind) for name in asked for raw, kind in index.rows(query, (key(name),))]

    found = Evidence()
    for name in asked:
        if isinstance(panel := read_of(store, "panel", name), Panel):
            found.panels[name] = panel
    for name, kind in sorted(set(asking(store, seen))) if found.panels else []:
        document = read_of(store, kind, name)
        if isinstance(document, Reading):
            found.readings[document.panel].append(document)
        elif isinstance(document, Judgement):
            for panel_id in judged_panels(document):
                found.judgements[panel_id].append(document)
        elif isinstance(document, Picture):
            for piece in document.shows:
                found.pictures[piece.panel].append(document)
    return found
