"""What the API says on the wire, member by member."""

from __future__ import annotations

from typing import Any

import msgspec

__all__ = ["Compared", "FaultShown", "Faults", "Libraries", "LibraryShown", "Listed", "Page", "Taken", "VersionShown"]


class FaultShown(msgspec.Struct):
    """One fault: its place, what is the matter, what to do."""

    place: str
    problem: str
    remedy: str


class Faults(msgspec.Struct):
    """Why a request was refused."""

    faults: list[FaultShown]


class LibraryShown(msgspec.Struct):
    """A library: its name here, the visitor's role, the commit its newest state stands at (empty before the first)."""

    name: str
    role: str
    head: str


class Libraries(msgspec.Struct):
    """The libraries a visitor may see."""

    hub: str
    libraries: list[LibraryShown]


class Listed(msgspec.Struct):
    """One document in a list; `asked` names what has two answers."""

    id: str
    kind: str
    name: str
    label: str
    withdrawn: bool
    asked: list[str]


class Page(msgspec.Struct):
    """A page of documents; `after` asks for the next one, empty on the last."""

    head: str
    documents: list[Listed]
    count: int
    after: str


class ChangeShown(msgspec.Struct):
    """One change: its layer (cup, work, evidence, colour, words) and its words."""

    layer: str
    text: str


class VersionShown(msgspec.Struct):
    """One version of a document, 1 the first."""

    version: int
    at: str
    by: str
    message: str
    changes: list[ChangeShown]
    commit: str


class Compared(msgspec.Struct):
    """Two versions or two things, cup first, colour last."""

    standard: str
    trial: str
    changes: list[ChangeShown]
    colour_words: list[str]
    colour_numbers: list[dict[str, Any]]
    cautions: list[str]


class Taken(msgspec.Struct):
    """What came of a packet: the documents that changed, and the commit (empty where nothing was new)."""

    documents: list[str]
    commit: str
