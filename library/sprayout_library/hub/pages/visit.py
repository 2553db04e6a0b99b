"""A visit: what one request asked, the library as it stood then, and what is answered."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sprayout_core.documents import Document
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.drops import Drops, Upload
from sprayout_library.record import Evidence, Names, Writer, evidence_for
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_library.hub.pages.pieces import Piece

__all__ = ["Asked", "Known", "NotAllowed", "NotThere", "Reply", "Seen", "Upload", "Visit"]


class NotThere(SprayoutError):
    """Nothing stands at an address."""


class NotAllowed(SprayoutError):
    """Something that this visitor may not do here."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a request says: names in the address, what stands behind its question mark, its form and files."""

    parts: Mapping[str, str] = field(default_factory=dict)
    query: Mapping[str, Sequence[str]] = field(default_factory=dict)
    form: Mapping[str, Sequence[str]] = field(default_factory=dict)
    files: Mapping[str, Upload] = field(default_factory=dict)

    def all(self, name: str) -> list[str]:
        """Return every value given under a name, those of the form first."""
        return [*self.form.get(name, ()), *self.query.get(name, ())]

    def said(self, name: str, default: str = "") -> str:
        """Return the first value given under a name, without blanks around it."""
        return next((value.strip() for value in self.all(name) if value.strip()), default)


@dataclass(frozen=True, slots=True)
class Reply:
    """What is answered: a template with what it shows, or where to look next, or bytes as they are."""

    template: str = ""
    shown: Mapping[str, object] = field(default_factory=dict)
    status: int = 200
    to: str = ""
    content: bytes = b""
    media: str = "text/html; charset=utf-8"
    save_as: str = ""


@dataclass(slots=True)
class Seen:
    """A library as it stood at one commit: its names, its evidence, its pieces; each worked out once."""

    head: str | None
    names: Names
    _evidence: Evidence | None = None
    _pieces: dict[str, Piece] | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def evidence(self, store: Store) -> Evidence:
        """Return all evidence of the library."""
        with self._lock:
            if self._evidence is None:
                self._evidence = evidence_for(store)
            return self._evidence

    def pieces(self, store: Store) -> dict[str, Piece]:
        """Return every panel as the piece that the wall shows, by its id."""
        evidence = self.evidence(store)
        with self._lock:
            if self._pieces is None:
                from sprayout_library.hub.pages.pieces import pieces_of

                self._pieces = pieces_of(evidence, self.names, store)
            return self._pieces


class Known:
    """What was worked out of a library last, kept as long as it stands at the same commit."""

    def __init__(self) -> None:
        self._seen: dict[str, Seen] = {}
        self._lock = threading.Lock()

    def of(self, store: Store) -> Seen:
        """Return the library as the store reads it."""
        key = str(store.folder)
        with self._lock:
            held = self._seen.get(key)
        if held is None or held.head != store.head:
            held = Seen(store.head, Names(store))
            with self._lock:
                self._seen[key] = held
        return held


@dataclass(slots=True)
class Visit:
    """One request at one library.

    base    where the pages of this library begin, without a stroke at its end
    csrf    the token that every form carries
    writes  gives who writes for the visitor; None where they only read
    known   what was worked out of libraries before
    drops   files dropped, between looking into them and taking them in
    """

    asked: Asked
    store: Store
    seen: Seen
    base: str = ""
    csrf: str = ""
    writes: Callable[[Store], Writer | None] = lambda _: None
    known: Known = field(default_factory=Known)
    drops: Drops = field(default_factory=Drops)
    now: datetime = field(default_factory=lambda: datetime.now(UTC))

    @property
    def names(self) -> Names:
        """The names in the library."""
        return self.seen.names

    @property
    def evidence(self) -> Evidence:
        """Everything sprayed and seen."""
        return self.seen.evidence(self.store)

    @property
    def pieces(self) -> dict[str, Piece]:
        """Every panel as a piece, by id."""
        return self.seen.pieces(self.store)

    @property
    def at(self) -> str:
        """This moment, as documents write it."""
        from sprayout_library.record import now_text

        return now_text(self.now)

    def writer(self) -> Writer:
        """Return a writer for the visitor. Raises NotAllowed where they only read."""
        found = self.writes(self.store)
        if found is None:
            raise NotAllowed("you may look here, not change", "Ask a keeper of this library.")
        return found

    @property
    def may_write(self) -> bool:
        """Whether forms that change something are shown."""
        return self.writes(self.store) is not None

    def document(self, identity: str) -> Document:
        """Return the document with an id. Raises NotThere."""
        found = self.store.get(identity)
        if found is None:
            raise NotThere("nothing stands at this address", "It may have come from another library: search for it.")
        return found

    def go(self, path: str) -> Reply:
        """Return the answer that sends the visitor to another page of this library."""
        return Reply(to=self.base + path, status=303)
