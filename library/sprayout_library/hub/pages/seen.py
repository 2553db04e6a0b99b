"""A library as it stood at one commit: what pages work out of it once, and its index, open."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from sprayout_core.documents import Document, Library
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.carried import Carried, relit, reordered, touched_panels
from sprayout_library.hub.pages.fetched import reads_of
from sprayout_library.hub.pages.states import Moved, State, moved_since
from sprayout_library.index import OpenIndex
from sprayout_library.record import Names
from sprayout_library.record.between import manifest_is
from sprayout_library.store import Store, manifests, manifests_in_order

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
    carried: Carried = field(default_factory=Carried)
    _rack: Rack[Hung] | None = None
    _shots: Rack[Shot] | None = None
    _pieces: dict[str, Piece] = field(default_factory=dict)
    _lightness: Mapping[str, float] | None = None
    _learnt: Learnt | SprayoutError | None = None
    _view: View | None = None
    _manifests: tuple[Library, ...] | None = None
    _of: dict[str, list[Hung]] = field(default_factory=dict)
    _bare: dict[str, list[Hung]] | None = None
    _texts: dict[str, str] | None = None
    _orders: dict[str, list[Hung]] = field(default_factory=dict)
    _documents: dict[str, Document] = field(default_factory=dict)
    _moved: dict[str, Moved | None] = field(default_factory=dict)
    _changed: tuple[frozenset[str] | None] | None = None
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

    def takes_over(self, before: Seen, moved: Moved) -> None:
        """Keep what was so in an earlier state, but for what changed since."""
        gone = {name for _, name in moved}
        with before._lock:
            worked = before._pieces or before._orders or before._lightness
            at_hand = dict(before._pieces), before._texts, before._lightness, dict(before._orders)
            self.carried = Carried(before.head, *at_hand) if worked else before.carried
            self._documents = {name: one for name, one in before._documents.items() if name not in gone}

    def moved(self, store: Store, before: str | None) -> Moved | None:
        """Return what changed since an earlier commit, asked of git once; None where all is read again."""
        if before is None:
            return None
        if before not in self._moved:
            self._moved[before] = moved_since(store, before)
        return self._moved[before]

    def _touched(self, store: Store) -> frozenset[str] | None:
        """Return the panels that may show otherwise than in the state carried over; None where all of them may."""
        if self._changed is None:
            moved = self.moved(store, self.carried.head)
            self._changed = (touched_panels(store, moved, self.rack(store)),)
        return self._changed[0]

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
                touched, before = self._touched(store), self.carried.texts
                if before is None or touched is None:
                    self._texts = {one.id: text(one) for one in rack.read.values()}
                else:
                    fresh = {name: text(rack.read[name]) for name in touched if name in rack.read}
                    self._texts = {name: one for name, one in before.items() if name in rack.read} | fresh
            return self._texts

    def in_order(
        self, store: Store, order: str, sort: Callable[[list[Hung]], None], key: Callable[[Hung], Any] | None = None
    ) -> list[Hung]:
        """Return every panel that stands, in an order that is worked out once.

        key  what the order goes by; with it an order carried over from an earlier state is only put right
        """
        rack = self.rack(store)
        with self._lock:
            if order in self._orders:
                return self._orders[order]
            touched, before = self._touched(store), self.carried.orders.get(order)
            if before is not None and touched is not None and key is not None:
                self._orders[order] = reordered(before, touched, rack, key)
            else:
                panels = [one for one in rack.read.values() if not one.withdrawn]
                sort(panels)
                self._orders[order] = panels
            return self._orders[order]

    def find(self, store: Store, identity: str) -> Document | None:
        """Return a document as it stood; what was asked for lately is at hand."""
        entry = self.names.entries.get(identity)
        if entry is not None:
            return self.documents(store, [(entry.kind, identity)])[0]
        return store.get(identity)

    def documents(self, store: Store, asked: Sequence[tuple[str, str]]) -> list[Document | None]:
        """Return documents by kind and id, None for each that is not there; those asked for lately are at hand."""
        if store.head != self.head:  # something was saved meanwhile
            return reads_of(store, asked)
        with self._lock:
            found = {name: self._documents[name] for _, name in asked if name in self._documents}
        missing = [pair for pair in dict.fromkeys(asked) if pair[1] not in found]
        fresh = {name: one for (_, name), one in zip(missing, reads_of(store, missing), strict=True) if one is not None}
        with self._lock:
            if len(self._documents) + len(fresh) > _AT_HAND:
                self._documents.clear()
            self._documents.update(fresh)
        return [found.get(name) or fresh.get(name) for _, name in asked]

    def manifests(self, store: Store) -> tuple[Library, ...]:
        """Return the library's manifests; the first one counts."""
        if store.head != self.head:  # something was saved meanwhile
            return tuple(manifests(store))
        with self._lock:
            if self._manifests is None:
                named = [("library", entry.id) for entry in self.names.of_kind("library")]
                found = [one for one in self.documents(store, named) if isinstance(one, Library)]
                self._manifests = tuple(manifests_in_order(found))
            return self._manifests

    def manifest(self, store: Store) -> Library | None:
        """Return the manifest that counts, where there is one; who compares in this store need not look for it."""
        found = next(iter(self.manifests(store)), None)
        if store.head == self.head:
            manifest_is(store, found)
        return found

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
            if self.carried.pieces and not self._pieces and (touched := self._touched(store)) is not None:
                self._pieces = {name: one for name, one in self.carried.pieces.items() if name not in touched}
            missing = [name for name in asked if name not in self._pieces]
            if missing:
                if len(self._pieces) > _MOST:
                    self._pieces.clear()
                    missing = asked
                self._pieces.update(self._made(store, rack, missing))
            return {name: self._pieces[name] for name in asked}

    def _made(self, store: Store, rack: Rack[Hung], panels: list[str]) -> dict[str, Piece]:
        from sprayout_library.hub.pages.pieces import on_screen, piece_of
        from sprayout_library.hub.pages.rack import looked_at

        view = self.view(store)
        looked = self.asking(store, lambda index: looked_at(index, panels))
        screen = on_screen((lab for found in looked.values() for one in found for lab in one.labs.values()), view)
        return {name: piece_of(rack.read[name], looked.get(name, ()), self.names, view, screen) for name in panels}

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
                touched, before = self._touched(store), self.carried.lightness
                if before is None or touched is None:
                    self._lightness = self.asking(store, lambda index: lightness_of(index, rack))
                else:
                    self._lightness = self.asking(store, lambda index: relit(index, rack, before, touched))
            return self._lightness
