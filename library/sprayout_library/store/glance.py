"""A small library read once: one command asks for the same documents several times over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

__all__ = ["Glance", "kept_while_read"]

_LARGEST = 4_000_000
"""Bytes that are kept at most; larger libraries are read from the repository each time."""


@dataclass(slots=True)
class Glance:
    """Every document of one commit, in order of kind and place."""

    commit: str
    rows: list[tuple[str, str, bytes]] = field(default_factory=list)
    by_id: dict[str, bytes] = field(default_factory=dict)

    def of_kind(self, kind: str | None) -> Iterator[tuple[str, bytes]]:
        """Yield (id, stored form) of every document, or of every one of a kind."""
        for name, its_kind, content in self.rows:
            if kind is None or its_kind == kind:
                yield name, content


def kept_while_read(
    commit: str, rows: Iterable[tuple[str, str, bytes]], keep: list[Glance]
) -> Iterator[tuple[str, bytes]]:
    """Yield (id, stored form), and put all of it into `keep` once everything was read and it is small enough."""
    glance: Glance | None = Glance(commit)
    size = 0
    for name, kind, content in rows:
        size += len(content)
        if size > _LARGEST:
            glance = None
        if glance is not None:
            glance.rows.append((name, kind, content))
            glance.by_id[name] = content
        yield name, content
    if glance is not None:
        keep[:] = [glance]
