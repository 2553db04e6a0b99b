"""The versions of a document in the order people number them, each told against the one it was made from."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from sprayout_core.compare import Line, Naming, questions_of, tell
from sprayout_core.documents import Document
from sprayout_core.errors import SprayoutError
from sprayout_library.record.shops import copies_called, copies_named
from sprayout_library.record.writer import now_text
from sprayout_library.store import Store, Version, read_commit

__all__ = ["ToldVersion", "at_moment", "at_version", "told_versions", "version_named", "version_of"]

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


@dataclass(frozen=True, slots=True)
class ToldVersion:
    """One version: its number (1 is the first), when, by whom, what it changed, the document as it stood.

    copy   the copy of the library it was made in; "" where versions were brought together
    shop   whose copy that is; panels: those sprayed of exactly this version, by `with_panels`
    """

    number: int
    at: str
    by: str
    message: str
    lines: tuple[Line, ...]
    document: Document
    commit: str
    copy: str = ""
    shop: str = ""
    panels: tuple[str, ...] = ()

    def data(self) -> dict[str, Any]:
        """Return the version as plain members for JSON."""
        return {
            "version": self.number,
            "at": self.at,
            "by": self.by,
            "shop": self.shop,
            "sprayed_as": list(self.panels),
            "message": self.message,
            "changes": [{"layer": line.layer.value, "text": line.text} for line in self.lines],
        }


def told_versions(store: Store, identity: str, name: Naming) -> list[ToldVersion]:
    """Return the versions of a document, oldest first.

    Where shops worked apart their versions stand in between each other, so each is told against the version it
    was really made from; joining them is told as such, with what is asked since.
    """
    found = list(reversed(store.history(identity)))
    called = copies_called(store) if found else {}
    told = [_told(store, identity, version, number, name) for number, version in enumerate(found, 1)]
    return [replace(one, shop=called.get(one.copy, f"copy {one.copy}")) if one.copy else one for one in told]


def _told(store: Store, identity: str, version: Version, number: int, name: Naming) -> ToldVersion:
    document = store.at(version.commit, identity)
    at = now_text(version.at)
    if version.what == "fold":
        asked = ", ".join(atom.partition("/")[0].replace("_", " ") for atom in questions_of(document))
        asked = asked.replace("mix", "the mix")
        message = f"brought together; two answers to {asked}" if asked else "brought together; nothing is asked"
        return ToldVersion(number, at, "", message, (), document, version.commit)
    before = _made_from(store, identity, version.commit)
    lines = tell(before, document, name) if before is not None else ()
    return ToldVersion(number, at, version.author, version.message, lines, document, version.commit, version.copy)


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


def at_moment(text: str) -> tuple[str, str | None]:
    """Return (name, what is said after the last @): a number, a day or a shop; None where nothing is said."""
    name, sign, word = text.rpartition("@")
    return (name.strip(), word.strip()) if sign and name.strip() and word.strip() else (text, None)


def version_named(store: Store, identity: str, word: str, name: Naming) -> ToldVersion:
    """Return one version by its number, by a day (the last one up to its end, by the clock here), or by a shop.

    A shop's is the last one it made itself. Raises SprayoutError where there is none.
    """
    if word.isdigit():
        return version_of(store, identity, int(word), name)
    versions = told_versions(store, identity, name)
    if _DAY.fullmatch(word):
        return _by_day(versions, word, name(identity))
    copies = copies_named(store, word)
    if not copies:
        raise SprayoutError(
            f"{word!r} is no version, no day and no shop",
            "Say the number of a version (@2), a day (@2026-03-02), or a shop by its name.",
        )
    made = [version for version in versions if version.copy in copies]
    if not made:
        raise SprayoutError(f"{word} made no version of {name(identity)}", "See its history.")
    return made[-1]


def _by_day(versions: list[ToldVersion], word: str, called: str) -> ToldVersion:
    try:
        day = date.fromisoformat(word)
    except ValueError:
        raise SprayoutError(f"{word} is no day", "Write it as year-month-day: 2026-03-02.") from None
    dated = [(datetime.fromisoformat(version.at).astimezone().date(), version) for version in versions]
    made = [version for at, version in dated if at <= day]
    if not made:
        raise SprayoutError(f"{called} was not there on {word}", f"Its first version is of {dated[0][0]}.")
    return made[-1]
