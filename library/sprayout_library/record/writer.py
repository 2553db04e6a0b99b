"""Who writes, in which library, at what time: makes documents and saves them."""

from __future__ import annotations

import functools
import secrets
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sprayout_core.compare import Change, edit
from sprayout_core.documents import Document, made, uuid7
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_library.store.inflow import Inflow

__all__ = ["Writer", "now_text", "tool_name"]


def now_text(now: datetime) -> str:
    """Return a time as documents write it: UTC, whole seconds (RFC 3339)."""
    return now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@functools.cache
def tool_name() -> str:
    """Return the name and version that provenance gives for this program."""
    from importlib import metadata

    return f"sprayout {metadata.version('sprayout')}"


def _clock() -> datetime:
    return datetime.now(UTC)


@dataclass(slots=True)
class Writer:
    """Makes and edits documents for one person at one library; nothing is kept until `save`."""

    store: Store
    by: str
    shop: str | None = None
    clock: Callable[[], datetime] = _clock
    random: Callable[[int], bytes] = secrets.token_bytes

    def fresh_id(self) -> str:
        """Return an id for a new document."""
        return uuid7(int(self.clock().timestamp() * 1000), self.random(10))

    def new(self, kind: str, facts: Mapping[str, Any], **origin: object) -> Document:
        """Return a new document, not saved yet; `origin` adds to its provenance."""
        provenance: dict[str, object] = {"at": now_text(self.clock()), "by": self.by, "tool": tool_name()}
        if self.shop:
            provenance["shop"] = self.shop
        provenance |= {name: value for name, value in origin.items() if value is not None}
        identity = None if kind == "reading" else self.fresh_id()
        return made(kind, facts, copy=self.store.copy_id, provenance=provenance, id=identity)

    def edited(self, document: Document, changes: Sequence[Change]) -> Document:
        """Return a document after changes made here and now, not saved yet."""
        return edit(document, self.store.copy_id, changes, now_text(self.clock()))

    def finish(self, flowing: Inflow, message: str) -> str:
        """Save what was given to an inflow in one version of the library; see `Inflow.finish`."""
        from sprayout_library.store import Author, Written

        return flowing.finish(Written("edit", message, Author(self.by, self.clock()))).commit

    def save(self, documents: Iterable[Document], message: str) -> str:
        """Save documents in one version of the library; see `Store.save`."""
        return self.store.save(documents, message, self.by, self.clock())
