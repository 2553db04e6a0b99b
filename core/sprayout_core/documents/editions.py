"""Editions of the format: which this code writes, which it reads, and how older ones become newer."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sprayout_core.documents.json_value import Json
from sprayout_core.errors import Fault, FaultsError

__all__ = ["CURRENT", "SINCE", "Edition", "EditionError", "Migration", "edition_of", "migrated", "raised"]


class EditionError(FaultsError):
    """A document of an edition that this code cannot read."""


@dataclass(frozen=True, slots=True, order=True)
class Edition:
    """A major and a minor number. A minor only adds members; a major may change what they mean."""

    major: int
    minor: int

    def __str__(self) -> str:
        return f"sprayout/{self.major}.{self.minor}"


CURRENT = Edition(1, 0)

#: Turns the tree of one major edition into the next; pure, and total on valid documents.
Migration = Callable[[dict[str, Json]], dict[str, Json]]

#: Places that came after the first edition of a major, such as formula/mix/items/*/grind, with the edition.
SINCE: dict[str, Edition] = {}

_PATTERN = re.compile(r"sprayout/([1-9][0-9]{0,3})\.(0|[1-9][0-9]{0,3})", re.ASCII)


def edition_of(text: object) -> Edition:
    """Return the edition named in a document's `format`. Raises EditionError for anything else."""
    match = _PATTERN.fullmatch(text) if isinstance(text, str) else None
    if not match:
        problem = "missing" if text is None else f"{str(text)[:40]!r} is no edition"
        raise EditionError([Fault("format", problem, f"Write {CURRENT}.")])
    return Edition(int(match[1]), int(match[2]))


def migrated(tree: dict[str, Json], migrations: Mapping[int, Migration], current: Edition = CURRENT) -> dict[str, Json]:
    """Return the tree in the current major edition, taken there one major step at a time.

    `migrations` maps a major number to the step away from it. Raises EditionError for a newer major edition,
    and for an older one that no step leads away from.
    """
    edition = edition_of(tree.get("format"))
    if edition.major > current.major:
        place = Fault("format", f"written by {edition}; this is {current}", "Update sprayout to read it.")
        raise EditionError([place])
    while edition.major < current.major:
        step = migrations.get(edition.major)
        if step is None:
            raise EditionError([Fault("format", f"nothing leads on from {edition}", "Use an older sprayout first.")])
        tree = step(tree)
        edition = edition_of(tree.get("format"))
    return tree


def raised(tree: Mapping[str, Json], since: Mapping[str, Edition] = SINCE) -> dict[str, Json]:
    """Return the tree with `format` raised to the edition that its members need; it is never lowered."""
    needed = edition_of(tree.get("format"))
    for place, edition in since.items():
        kind, *path = place.split("/")
        if edition > needed and kind == tree.get("kind") and _holds(tree, path):
            needed = edition
    return {**tree, "format": str(needed)}


def _holds(value: Json, path: list[str]) -> bool:
    if not path:
        return True
    if isinstance(value, list):
        return path[0] == "*" and any(_holds(item, path[1:]) for item in value)
    if not isinstance(value, dict):
        return False
    if path[0] == "*":
        return any(_holds(item, path[1:]) for item in value.values())
    return path[0] in value and _holds(value[path[0]], path[1:])
