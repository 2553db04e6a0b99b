"""The versions of a document in the order people number them, each told against the one before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sprayout_core.compare import Line, Naming, tell
from sprayout_core.documents import Document
from sprayout_core.errors import SprayoutError
from sprayout_library.record.writer import now_text
from sprayout_library.store import Store

__all__ = ["ToldVersion", "at_version", "told_versions", "version_of"]


@dataclass(frozen=True, slots=True)
class ToldVersion:
    """One version: its number (1 is the first), when, by whom, what it changed, the document as it stood."""

    number: int
    at: str
    by: str
    message: str
    lines: tuple[Line, ...]
    document: Document

    def data(self) -> dict[str, Any]:
        """Return the version as plain members for JSON."""
        return {
            "version": self.number, "at": self.at, "by": self.by, "message": self.message,
            "changes": [{"layer": line.layer.value, "text": line.text} for line in self.lines],
        }  # fmt: skip


def told_versions(store: Store, identity: str, name: Naming) -> list[ToldVersion]:
    """Return the versions of a document, oldest first."""
    told: list[ToldVersion] = []
    before: Document | None = None
    for version in reversed(store.history(identity)):
        document = store.at(version.commit, identity)
        lines = tell(before, document, name) if before is not None else ()
        number = len(told) + 1
        message = getattr(version, "message", "") or ("as first written" if before is None else "nothing that is told")
        told.append(ToldVersion(number, now_text(version.at), version.author, message, lines, document))
        before = document
    return told


def at_version(text: str) -> tuple[str, int | None]:
    """Return (name, version number) of "Kelp glass@2"; no number where none is said."""
    name, sign, number = text.rpartition("@")
    if sign and number.isdigit() and name.strip():
        return name.strip(), int(number)
    return text, None


def version_of(store: Store, identity: str, number: int, name: Naming) -> ToldVersion:
    """Return one version by its number. Raises SprayoutError where there is none."""
    versions = told_versions(store, identity, name)
    if not 1 <= number <= len(versions):
        raise SprayoutError(f"there is no version {number} of {name(identity)}", f"It has 1 to {len(versions)}.")
    return versions[number - 1]
