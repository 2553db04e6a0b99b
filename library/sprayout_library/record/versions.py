"""The versions of a document in the order people number them, each told against the one it was made from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sprayout_core.compare import Line, Naming, questions_of, tell
from sprayout_core.documents import Document
from sprayout_core.errors import SprayoutError
from sprayout_library.record.writer import now_text
from sprayout_library.store import Store, Version, read_commit

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
    commit: str

    def data(self) -> dict[str, Any]:
        """Return the version as plain members for JSON."""
        return {
            "version": self.number,
            "at": self.at,
            "by": self.by,
            "message": self.message,
            "changes": [{"layer": line.layer.value, "text": line.text} for line in self.lines],
        }


def told_versions(store: Store, identity: str, name: Naming) -> list[ToldVersion]:
    """Return the versions of a document, oldest first.

    Where shops worked apart their versions stand in between each other, so each is told against the version it
    was really made from; joining them is told as such, with what is asked since.
    """
    found = list(reversed(store.history(identity)))
    return [_told(store, identity, version, number, name) for number, version in enumerate(found, 1)]


def _told(store: Store, identity: str, version: Version, number: int, name: Naming) -> ToldVersion:
    document = store.at(version.commit, identity)
    at = now_text(version.at)
    if version.what == "fold":
        asked = ", ".join(atom.partition("/")[0].replace("_", " ") for atom in questions_of(document))
        message = f"brought together; two answers to {asked}" if asked else "brought together; nothing is asked"
        return ToldVersion(number, at, "", message, (), document, version.commit)
    before = _made_from(store, identity, version.commit)
    lines = tell(before, document, name) if before is not None else ()
    return ToldVersion(number, at, version.author, version.message, lines, document, version.commit)


def _made_from(store: Store, identity: str, commit: str) -> Document | None:
    content = store.reader.content(commit)
    parents = read_commit(commit, content).parents if content is not None else ()
    for parent in parents:
        try:
            return store.at(parent, identity)
        except SprayoutError:
            continue
    return None


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
