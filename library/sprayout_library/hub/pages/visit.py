"""A visit: what one request asked, the library as it stood then, and what is answered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol, TypeVar

from sprayout_core.documents import Document, Panel
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.drops import Drops, Upload
from sprayout_library.hub.pages.fetched import pairs_about, seen_of
from sprayout_library.hub.pages.known import Known, Seen
from sprayout_library.record import Evidence, Names, Writer
from sprayout_library.record.about import gathered_evidence
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.light import View
    from sprayout_library.film.knowing import Known as Learnt
    from sprayout_library.hub.pages.pieces import Piece
    from sprayout_library.hub.pages.rack import Hung, Shot
    from sprayout_library.index import Index
    from sprayout_library.machine import Facts

#: Panels offered to be held against another.
_OFFERED = 60

__all__ = ["Asked", "Known", "NotAllowed", "NotThere", "PublicLink", "PublicLinks", "Reply", "Seen", "Upload", "Visit"]


Answer = TypeVar("Answer")


class NotThere(SprayoutError):
    """Nothing stands at an address."""


class NotAllowed(SprayoutError):
    """Something that this visitor may not do here."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a request says: names in the address, what stands behind its question mark, its form and files.

    units  us where the visitor reads US amounts beside metric ones
    here   the address asked for, with what stands behind its question mark
    """

    parts: Mapping[str, str] = field(default_factory=dict)
    query: Mapping[str, Sequence[str]] = field(default_factory=dict)
    form: Mapping[str, Sequence[str]] = field(default_factory=dict)
    files: Mapping[str, Upload] = field(default_factory=dict)
    units: str = ""
    here: str = "/"

    def all(self, name: str) -> list[str]:
        """Return every value given under a name, those of the form first."""
        return [*self.form.get(name, ()), *self.query.get(name, ())]

    def said(self, name: str, default: str = "") -> str:
        """Return the first value given under a name, without blanks around it."""
        return next((value.strip() for value in self.all(name) if value.strip()), default)


@dataclass(frozen=True, slots=True)
class PublicLink:
    """What is known of a public link to a recipe's card; where it leads is not: that was told once."""

    id: str
    by: str
    made: str


class PublicLinks(Protocol):
    """The public links of one library, for one visitor."""

    def of(self, recipe: str) -> Sequence[PublicLink]:
        """Return the links of a recipe that lead somewhere, newest first."""
        ...

    def make(self, recipe: str) -> str:
        """Return the address of a new link; nobody can tell it again."""
        ...

    def withdraw(self, recipe: str, link: str) -> None:
        """Let a link of a recipe lead nowhere from now on. Raises SprayoutError where there is none."""
        ...


@dataclass(frozen=True, slots=True)
class Reply:
    """What is answered: a template with what it shows, or where to look next, or bytes as they are.

    keeps    for how many seconds a browser may keep it
    units    the choice of units to keep in the browser; empty where it stays as it is
    settled  whether what is shown was made from nothing but the library's state and what was asked: then it is kept,
             and shown again to whoever asks the same in the same state. It must hold no token, form or name of a
             visitor, no time of day, and nothing that can be gone through only once
    """

    template: str = ""
    shown: Mapping[str, object] = field(default_factory=dict)
    status: int = 200
    to: str = ""
    content: bytes = b""
    media: str = "text/html; charset=utf-8"
    save_as: str = ""
    keeps: int = 0
    units: str = ""
    settled: bool = False


@dataclass(slots=True)
class Visit:
    """One request at one library.

    base    where the pages of this library begin, without a stroke at its end
    csrf    the token that every form carries
    writes  gives who writes for the visitor; None where they only read
    known   what was worked out of libraries before
    drops   files dropped, between looking into them and taking them in
    links   public links of the library's recipes; None where there can be none
    shelf   the facts of the shop whose machine this is; None at a hub, where no shop's shelf stands
    mark    of what a page shows, for the stream that tells of news; empty where it shows what came of a form
    """

    asked: Asked
    store: Store
    seen: Seen
    base: str = ""
    csrf: str = ""
    writes: Callable[[Store], Writer | None] = lambda _: None
    known: Known = field(default_factory=Known)
    drops: Drops = field(default_factory=Drops)
    links: PublicLinks | None = None
    shelf: Facts | None = None
    mark: str = ""
    now: datetime = field(default_factory=lambda: datetime.now(UTC))

    @property
    def names(self) -> Names:
        """The names in the library."""
        return self.seen.names

    @property
    def hung(self) -> Mapping[str, Hung]:
        """Every panel in few words, by id; those that were taken out of use are among them."""
        return self.seen.rack(self.store).read

    @property
    def shots(self) -> Mapping[str, Shot]:
        """Every picture in few words, by id."""
        return self.seen.shots(self.store).read

    def pieces(self, panels: Iterable[str]) -> dict[str, Piece]:
        """Return panels as pieces, by id and in the order asked; what is no panel is left out."""
        return self.seen.pieces(self.store, panels)

    def panels_of(self, document: Document) -> list[Hung]:
        """Return the panels of a recipe, or those that sprayed a formula, by when they were sprayed."""
        return self.seen.of_thing(self.store, document.id)

    def called(self, panel: str) -> str:
        """Return a panel's name with its ground."""
        hung = self.hung[panel]
        return hung.name + (f", over {self.names.label(hung.ground.id)}" if hung.ground else "")

    def alike(self, panel: Panel) -> list[tuple[str, str]]:
        """Return the newest other panels of a panel's recipe: id, and name with ground."""
        of = self.seen.of_thing(self.store, panel.recipe) if panel.recipe else []
        found = [one for one in of if one.id != panel.id and not one.withdrawn]
        return [(one.id, self.called(one.id)) for one in reversed(found[-_OFFERED:])]

    def find(self, identity: str) -> Document | None:
        """Return a document, or None: what the rules of core ask for as `find`."""
        return self.seen.find(self.store, identity)

    @property
    def view(self) -> View:
        """The light and the observer that the library chose."""
        return self.seen.view(self.store)

    def knowledge(self) -> Learnt:
        """Return what the panels of the library teach. Raises SprayoutError where there is nothing to learn from."""
        return self.seen.knowledge(self.store)

    def lightness(self) -> Mapping[str, float]:
        """Return L* of every measured panel by id."""
        return self.seen.lightness(self.store)

    def evidence(self, panels: Iterable[str]) -> Evidence:
        """Return some panels with everything seen of them."""
        asked = list(dict.fromkeys(panels))
        seen = self.asking(lambda index: seen_of(index, asked)) if asked else []
        found = self.seen.documents(self.store, pairs_about(asked, seen))
        return gathered_evidence(one for one in found if one is not None)

    def asking(self, action: Callable[[Index], Answer]) -> Answer:
        """Return what an action finds in the library's index."""
        return self.seen.asking(self.store, action)

    def once(self, name: str, make: Callable[[], Answer]) -> Answer:
        """Return a part of a page that rests on the library's state and the visitor's units alone, made once.

        What is made is kept and shown to others: see `Reply.settled`. Nothing is kept while a form is answered.
        """
        if not self.mark or self.store.head != self.seen.head:
            return make()
        return self.known.views.once((self.seen.state, self.base, self.asked.units, name), make)

    def key(self, page: str) -> tuple[object, ...] | None:
        """Return what tells the view data of a page from all others, or None where they may not be kept.

        It names the state of the library, the taps of this machine's spray days, who writes, and all that was asked.
        """
        if not self.mark or self.store.head != self.seen.head:
            return None
        asked = self.asked
        said = tuple((name, tuple(values)) for name, values in asked.query.items())
        whose = self.base, self.may_write, asked.units
        return self.seen.state, self.mark, whose, page, tuple(asked.parts.items()), said

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

    def amount(self, value: Fraction, unit: str, digits: int = 2) -> str:
        """Return an amount in ml or g as the visitor reads it."""
        from sprayout_library.hub.pages.units import amount_words

        return amount_words(value, unit, self.asked.units, digits)

    @property
    def may_write(self) -> bool:
        """Whether forms that change something are shown."""
        return self.writes(self.store) is not None

    def document(self, identity: str) -> Document:
        """Return the document with an id. Raises NotThere."""
        found = self.find(identity) if self.mark else self.store.get(identity)
        if found is None:
            raise NotThere("nothing stands at this address", "It may have come from another library: search for it.")
        return found

    def go(self, path: str) -> Reply:
        """Return the answer that sends the visitor to another page of this library."""
        return Reply(to=self.base + path, status=303)
