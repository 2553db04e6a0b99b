"""Finding documents by the names people use: titles, aliases, label codes, the end of an id."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

import msgspec

from sprayout_core.errors import SprayoutError
from sprayout_library.store import Store

__all__ = ["Ambiguous", "Entry", "Names", "NotKnown", "Readings", "entry_of", "kind_said"]

_SAID = {"formula": "mix", "batch": "cup"}
"""Kinds that people call by another word than the format."""


def kind_said(kind: str) -> str:
    """Return what people call a kind of document: a formula is a mix, a batch is a cup."""
    return _SAID.get(kind, kind)


class NotKnown(SprayoutError):
    """No document goes by this name."""


class Ambiguous(SprayoutError):
    """Several documents go by this name; `entries` are those."""

    def __init__(self, text: str, entries: Iterable[Entry]) -> None:
        self.entries = tuple(entries)
        told = "; ".join(f"{kind_said(entry.kind)} {entry.name} (…{entry.id[-6:]})" for entry in self.entries[:8])
        super().__init__(
            f"{text!r} could be {told}", "Name it by the end of its id, such as …" + self.entries[0].id[-6:]
        )


class _Slim(msgspec.Struct):
    """The few members of a stored document that naming needs."""

    id: str
    kind: str
    title: str = ""
    label: str = ""
    role: str = ""
    panel: str = ""
    aliases: dict[str, str] = {}
    withdrawn: dict[str, int] = {}
    questions: dict[str, msgspec.Raw] = {}


_DECODER = msgspec.json.Decoder(_Slim)


@dataclass(frozen=True, slots=True)
class Entry:
    """What a document is called."""

    id: str
    kind: str
    title: str
    label: str
    role: str
    aliases: tuple[str, ...]
    withdrawn: bool
    asked: tuple[str, ...]
    panel: str = ""

    @property
    def name(self) -> str:
        """The title, else the label code, else the end of the id."""
        return self.title or self.label or f"…{self.id[-6:]}"


def entry_of(identity: str, content: bytes) -> Entry:
    """Return what a document is called, from its stored form."""
    slim = _DECODER.decode(content)
    return Entry(
        identity, slim.kind, slim.title, slim.label, slim.role, tuple(slim.aliases.values()), bool(slim.withdrawn),
        tuple(slim.questions), slim.panel,
    )  # fmt: skip


class Readings(Protocol):
    """The readings of a library too large to have them all at hand: they go by no name, only by the end of an id."""

    def ending(self, end: str) -> list[Entry]:
        """Return those whose id ends so."""

    def every(self) -> list[Entry]:
        """Return all of them."""


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


def _in_order(entry: Entry) -> tuple[str, str, str]:
    return entry.kind, _folded(entry.name), entry.id


class Names:
    """Every name in a library at the moment it was read."""

    def __init__(self, store: Store) -> None:
        self._take({identity: entry_of(identity, content) for identity, content in store.raw()})

    @classmethod
    def of(cls, entries: Iterable[Entry], readings: Readings | None = None) -> Names:
        """Return the names of entries that are known already; `readings` finds those that are not among them."""
        found = cls.__new__(cls)
        found._take({entry.id: entry for entry in entries}, readings)
        return found

    def _take(self, entries: dict[str, Entry], readings: Readings | None = None) -> None:
        self.entries = entries
        self._readings = readings
        self._sorted: tuple[dict[str, Entry], dict[tuple[str, ...], list[Entry]]] = (entries, {})
        self._called: tuple[dict[str, Entry], dict[str, list[str]]] | None = None

    def changed(self, entries: Mapping[str, Entry | None]) -> Names:
        """Return the names after some documents changed: the new entry of each, None where it is not here any more.

        What was worked out of the names before is carried over, so that this takes as long as what changed.
        """
        fresh = [one for one in entries.values() if one is not None]
        kept = {**self.entries, **{one.id: one for one in fresh}}
        for identity in entries:
            if entries[identity] is None:
                kept.pop(identity, None)
        found = Names.of((), self._readings)
        found.entries = kept
        if self._sorted[0] is self.entries:
            orders = {kinds: self._resorted(order, kinds, entries) for kinds, order in self._sorted[1].items()}
            found._sorted = (kept, orders)
        if self._called is not None and self._called[0] is self.entries:
            found._called = (kept, self._recalled(self._called[1], entries))
        return found

    def _resorted(self, order: list[Entry], kinds: tuple[str, ...], entries: Mapping[str, Entry | None]) -> list[Entry]:
        after = [one for one in order if one.id not in entries]
        for one in entries.values():
            if one is not None and (not kinds or one.kind in kinds):
                insort(after, one, key=_in_order)
        return after

    def _recalled(self, called: Mapping[str, list[str]], entries: Mapping[str, Entry | None]) -> dict[str, list[str]]:
        after = dict(called)
        for identity, one in entries.items():
            for name in self._names(self.entries.get(identity)):
                after[name] = [other for other in after.get(name, ()) if other != identity]
            for name in self._names(one):
                after[name] = [*after.get(name, ()), identity]
        return after

    @staticmethod
    def _names(entry: Entry | None) -> list[str]:
        """Return the names that an entry goes by, as they are compared, each once."""
        if entry is None:
            return []
        return list(dict.fromkeys(_folded(name) for name in (entry.title, entry.label, *entry.aliases) if name))

    def _fetched(self, end: str) -> list[str]:
        """Return the readings whose id ends so, where they are not all at hand; they are from now on."""
        found = self._readings.ending(end) if self._readings else []
        self.entries.update((entry.id, entry) for entry in found)
        return [entry.id for entry in found]

    def label(self, identity: str) -> str:
        """Return what to call a document; the end of its id where it is not here."""
        if identity not in self.entries and identity[14:15] == "8":  # readings alone are named by their facts
            self._fetched(identity)
        entry = self.entries.get(identity)
        if entry is None:
            return f"…{identity[-6:]}"
        if entry.panel and not entry.title:
            return f"{entry.kind} of {self.label(entry.panel)}"
        return entry.name

    def of_kind(self, *kinds: str) -> Iterator[Entry]:
        """Yield the documents of these kinds (all where none is named), sorted by kind and name."""
        if self._readings and (not kinds or "reading" in kinds):
            self.entries = {**self.entries, **{entry.id: entry for entry in self._readings.every()}}
            self._readings = None
        if self._sorted[0] is not self.entries:
            self._sorted = (self.entries, {})
        known = self._sorted[1]
        if kinds not in known:
            kept = (entry for entry in self.entries.values() if not kinds or entry.kind in kinds)
            known[kinds] = sorted(kept, key=_in_order)
        yield from known[kinds]

    def in_question(self) -> list[Entry]:
        """Return the documents that copies disagree on, and the withdrawn ones, sorted by kind and name."""
        return sorted((entry for entry in self.entries.values() if entry.asked or entry.withdrawn), key=_in_order)

    def matching(self, text: str, *kinds: str) -> list[Entry]:
        """Return the documents that go by this name; those not withdrawn win over withdrawn ones."""
        wanted = _folded(text)
        ids = dict.fromkeys([*self._by_name().get(wanted, ()), *self._by_end(wanted)])
        entries = (self.entries[identity] for identity in ids)
        found = [entry for entry in entries if not kinds or entry.kind in kinds]
        found.sort(key=_in_order)
        standing = [entry for entry in found if not entry.withdrawn]
        return standing or found

    def _by_name(self) -> dict[str, list[str]]:
        """Return the ids that go by each name: titles, codes and aliases."""
        if self._called is None or self._called[0] is not self.entries:
            called: dict[str, list[str]] = {}
            for entry in self.entries.values():
                for name in self._names(entry):
                    called.setdefault(name, []).append(entry.id)
            self._called = (self.entries, called)
        return self._called[1]

    def _by_end(self, wanted: str) -> list[str]:
        end = wanted.removeprefix("…").removeprefix("...")
        if len(end) < 4 or set(end) - set("0123456789abcdef-"):
            return []
        if len(end) == 36:
            return [end] if end in self.entries else self._fetched(end)
        return [identity for identity in self.entries if identity.endswith(end)] + self._fetched(end)

    def find(self, text: str, *kinds: str) -> Entry:
        """Return the one document that goes by this name. Raises NotKnown, or Ambiguous with those it could be."""
        found = self.matching(text, *kinds)
        if len(found) > 1:
            raise Ambiguous(text, found)
        if not found:
            sort = " or ".join(map(kind_said, kinds))
            near = self.near(text, *kinds)
            remedy = f"Did you mean {' or '.join(near)}?" if near else _other_way(text, kinds)
            raise NotKnown(f"no {sort} is called {text!r}" if sort else f"nothing is called {text!r}", remedy)
        return found[0]

    def near(self, text: str, *kinds: str) -> list[str]:
        """Return a few names that look like this one."""
        import difflib

        asked = (entry for entry in self.entries.values() if not kinds or entry.kind in kinds)
        known = {_folded(entry.name): entry.name for entry in asked}
        return [known[close] for close in difflib.get_close_matches(_folded(text), known, n=3, cutoff=0.6)]


def _other_way(text: str, kinds: tuple[str, ...]) -> str:
    """Return where to look for a name that nothing goes by, and how a stock product is recorded."""
    if kinds == ("batch",):
        return "See `sprayout cup`."
    if "material" in kinds:
        return f'See `sprayout list`, or record it: sprayout material "{text}" --role ROLE'
    return "See `sprayout list`."
