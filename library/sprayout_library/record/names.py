"""Finding documents by the names people use: titles, aliases, label codes, the end of an id."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import msgspec

from sprayout_core.errors import SprayoutError
from sprayout_library.store import Store

__all__ = ["Ambiguous", "Entry", "Names", "NotKnown"]


class NotKnown(SprayoutError):
    """No document goes by this name."""


class Ambiguous(SprayoutError):
    """Several documents go by this name; `entries` are those."""

    def __init__(self, text: str, entries: Iterable[Entry]) -> None:
        self.entries = tuple(entries)
        told = "; ".join(f"{entry.kind} {entry.name} (…{entry.id[-6:]})" for entry in self.entries[:8])
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


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


def _in_order(entry: Entry) -> tuple[str, str, str]:
    return entry.kind, _folded(entry.name), entry.id


class Names:
    """Every name in a library at the moment it was read."""

    def __init__(self, store: Store) -> None:
        decoder = msgspec.json.Decoder(_Slim)
        entries: dict[str, Entry] = {}
        for identity, content in store.raw():
            slim = decoder.decode(content)
            entries[identity] = Entry(
                identity, slim.kind, slim.title, slim.label, slim.role, tuple(slim.aliases.values()),
                bool(slim.withdrawn), tuple(slim.questions),
                slim.panel,
            )  # fmt: skip
        self._take(entries)

    @classmethod
    def of(cls, entries: Iterable[Entry]) -> Names:
        """Return the names of entries that are known already."""
        found = cls.__new__(cls)
        found._take({entry.id: entry for entry in entries})
        return found

    def _take(self, entries: dict[str, Entry]) -> None:
        self.entries = entries
        self._sorted: tuple[dict[str, Entry], dict[tuple[str, ...], list[Entry]]] = (entries, {})
        self._called: tuple[dict[str, Entry], dict[str, list[str]]] | None = None

    def label(self, identity: str) -> str:
        """Return what to call a document; the end of its id where it is not here."""
        entry = self.entries.get(identity)
        if entry is None:
            return f"…{identity[-6:]}"
        if entry.panel and not entry.title:
            return f"{entry.kind} of {self.label(entry.panel)}"
        return entry.name

    def of_kind(self, *kinds: str) -> Iterator[Entry]:
        """Yield the documents of these kinds (all where none is named), sorted by kind and name."""
        if self._sorted[0] is not self.entries:
            self._sorted = (self.entries, {})
        known = self._sorted[1]
        if kinds not in known:
            kept = (entry for entry in self.entries.values() if not kinds or entry.kind in kinds)
            known[kinds] = sorted(kept, key=_in_order)
        yield from known[kinds]

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
                for name in (entry.title, entry.label, *entry.aliases):
                    if name:
                        called.setdefault(_folded(name), []).append(entry.id)
            self._called = (self.entries, called)
        return self._called[1]

    def _by_end(self, wanted: str) -> list[str]:
        end = wanted.removeprefix("…").removeprefix("...")
        if len(end) < 4 or set(end) - set("0123456789abcdef-"):
            return []
        if len(end) == 36:
            return [end] if end in self.entries else []
        return [identity for identity in self.entries if identity.endswith(end)]

    def find(self, text: str, *kinds: str) -> Entry:
        """Return the one document that goes by this name. Raises NotKnown, or Ambiguous with those it could be."""
        found = self.matching(text, *kinds)
        if len(found) > 1:
            raise Ambiguous(text, found)
        if not found:
            sort = " or ".join(kinds) or "document"
            near = self.near(text, *kinds)
            remedy = f"Did you mean {' or '.join(near)}?" if near else "See `sprayout list`."
            raise NotKnown(f"no {sort} is called {text!r}", remedy)
        return found[0]

    def near(self, text: str, *kinds: str) -> list[str]:
        """Return a few names that look like this one."""
        import difflib

        known = {_folded(entry.name): entry.name for entry in self.of_kind(*kinds)}
        return [known[close] for close in difflib.get_close_matches(_folded(text), known, n=3, cutoff=0.6)]
