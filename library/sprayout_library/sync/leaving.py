"""What would leave: told before a sync or a share, without sending anything."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sprayout_core.documents import Document, read
from sprayout_library.store import Store
from sprayout_library.sync.outcome import missing_there
from sprayout_library.sync.remote import Remote, heads_of

__all__ = ["Leaving", "everything", "is_marked_private", "leaving", "set_private"]

_MARK = "private"
_USUAL = 50
"""More documents than this at once is more than usual, until this library's own habit says otherwise."""


@dataclass(slots=True)
class Leaving:
    """What a sync with a remote would send.

    documents  ids, in order of their place
    kinds      how many of each kind
    first      whether nothing of this library is at the remote yet
    private    whether this library was marked private on this machine
    marked     those among the documents that carry a private mark of their own
    """

    documents: list[str] = field(default_factory=list)
    kinds: dict[str, int] = field(default_factory=dict)
    first: bool = False
    private: bool = False
    marked: list[str] = field(default_factory=list)

    @property
    def asks(self) -> bool:
        """Whether nothing should go out before a person said so: anything private, or many documents at once."""
        return bool(self.documents) and (self.private or bool(self.marked) or len(self.documents) > _USUAL)

    @property
    def unusual(self) -> bool:
        """Whether a person should look at it first: a private library, a first share, or more than usual."""
        return self.asks or (bool(self.documents) and self.first)


def leaving(store: Store, remote: Remote) -> Leaving:
    """Return what a sync would send to a remote now. Raises UnreachableError or RemoteError."""
    return _beside(store, heads_of(store.git, remote))


def everything(store: Store) -> Leaving:
    """Return what would go to a place that holds nothing yet: all there is."""
    return _beside(store, {})


def _beside(store: Store, heads: Mapping[str, str]) -> Leaving:
    found = Leaving(private=bool(store.facts.get("private", False)))
    if store.head is None:
        return found
    places = missing_there(store, heads, store.head)
    found.first = not any(store.reader.info(head) for head in heads.values())
    for kind, name in places:
        found.documents.append(name)
        found.kinds[kind] = found.kinds.get(kind, 0) + 1
    found.marked = _marked(store, found.documents)
    return found


def is_marked_private(document: Document) -> bool:
    """Return whether a document is marked private: by a tag "private", or a note that begins with "private:"."""
    tags = {tag.casefold() for tag in (document.tags or {}).values()}
    notes = (note.text.casefold() for note in (document.notes or {}).values())
    return _MARK in tags or any(text.lstrip().startswith(f"{_MARK}:") for text in notes)


def _marked(store: Store, documents: list[str]) -> list[str]:
    """Return those of these documents that are marked private; others are passed over without being understood."""
    wanted = set(documents)
    if len(wanted) > _USUAL:
        contents = ((name, content) for name, content in store.raw() if name in wanted)
    else:
        contents = ((name, content) for name in documents if (content := store.content(name)) is not None)
    return [name for name, content in contents if _MARK in content.decode("utf-8").casefold() and _says_so(content)]


def _says_so(content: bytes) -> bool:
    return is_marked_private(read(content))


def set_private(store: Store, reason: str) -> None:
    """Mark a library private on this machine, with the reason; an empty reason takes the mark away."""
    store.facts.put("private", reason or None)
