"""A library as it stood at one commit: what pages work out of it once, and its index, open."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeVar

from sprayout_core.documents import Document, Library
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.fetched import read_of
from sprayout_library.hub.pages.states import Moved, State, moved_since
from sprayout_library.index import OpenIndex
from sprayout_library.record import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.light import View
    from sprayout_library.film.knowing import Known as Learnt
    from sprayout_library.hub.pages.pieces import Piece
    from sprayout_library.hub.pages.rack import Hung, Rack, Shot
    from sprayout_library.index import Index

__all__ = ["Seen"]

_MOST, _AT_HAND = 20_000, 2_000  # pieces and documents kept ready at once

Answer = TypeVar("Answer")
Earlier = tuple["Rack[Hung] | None", "Rack[Shot] | None"]


@dataclass(slots=True)
class Seen:
    """A library as it stood at one commit: its names, its panels in few words, pieces asked for so far.

    One thread works on it at a time; what an index is asked may ask it for more.
    """

    state: State
    names: Names = field(default_factory=lambda: Names.of(()))
    earlier: Earlier = (None, None)
    _rack: Rack[Hung] | None = None
    _shots: Rack[Shot] | None = None
    _pieces: dict[str, Piece] = field(default_factory=dict)
    _lightness: Mapping[str, float] | None = None
    _learnt: Learnt | SprayoutError | None = None
    _view: View | None = None
    _manifest: tuple[Library | None] | None = None
    _of: dict[str, list[Hung]] = field(default_factory=dict)
    _bare: dict[str, list[Hung]] | None = None
    _texts: dict[str, str] | None = None
    _orders: dict[str, list[Hung]] = field(default_factory=dict)
    _documents: dict[str, Document | None] = field(default_factory=dict)
    _moved: dict[str, Moved | None] = field(default_factory=dict)
    _learning: threading.Lock = field(default_factory=threading.Lock)
    _lock: threading.RLock = field(default_factory=threading.RLock)
    _index: OpenIndex = field(init=False)

    def __post_init__(self) -> None:
        """Begin with an index that nobody asked yet."""
        self._index = OpenIndex(self.head, self._lock)

    @property
    def head(self) -> str | None:
        """The commit."""
        return self.state[1]

    @property
    def last(self) -> Earlier:
        """What was read of panels and pictures last, for the next commit to begin with."""
        return self._rack or self.earlier[0], self._shots or self.earlier[1]

    def asking(self, store: Store, action: Callable[[Index], Answer]) -> Answer:
        """Return what an action finds in the library's index, which stays open for the next question."""
        return self._index.asking(store, action)

    def end(self) -> None:
        """Close what is open once nobody works on it; what is asked later is opened for itself."""
        self._index.end()

    def moved(self, store: Store, before: str | None) -> Moved | None:
        """Return what changed since an earlier commit, asked of git once; None where all is read again."""
        if before is None:
            return None
        if before not in self._moved:
            self._moved[before] = moved_since(store, before)
        return self._moved[before]

    def rack(self, store: Store) -> Rack[Hung]:
        """Return every panel in few words."""
        from sprayout_library.hub.pages.rack import Hung, racked

        with self._lock:
            if self._rack is None:
                self._rack = racked(store, "panel", Hung, self.earlier[0], self.moved)
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

    def bare(self, store: Store, ground: str) -> list[Hung]:
        """Return the standing panels that show a ground bare: all over, or as a step without coats."""
        rack = self.rack(store)
        with self._lock:
            if self._bare is None:
                self._bare = {}
                for one in sorted(rack.read.values(), key=lambda one: (one.at, one.id)):
                    if one.ground and not one.withdrawn and (not one.coats or "0" in (one.steps or {})):
                        self._bare.setdefault(one.ground.id, []).append(one)
            return self._bare.get(ground, [])

    def texts(self, store: Store, text: Callable[[Hung], str]) -> Mapping[str, str]:
        """Return what every panel is found by on the wall, worked out once."""
        rack = self.rack(store)
        with self._lock:
            if self._texts is None:
                self._texts = {one.id: text(one) for one in rack.read.values()}
            return self._texts

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
        if store.head != self.head:  # something was saved meanwhile
            return store.get(identity)
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
                self._shots = racked(store, "picture", Shot, self.earlier[1], self.moved)
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
        looked = self.asking(store, lambda index: looked_at(index, panels))
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
                self._lightness = self.asking(store, lambda index: lightness_of(index, rack))
            return self._lightness
