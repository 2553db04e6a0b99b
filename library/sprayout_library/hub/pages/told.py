"""What a kind of document adds to its page."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

__all__ = ["Told", "coats_of", "coats_said"]


def coats_said(count: str) -> str:
    """Return a count with its word, as people say it: 1 coat, about 5 coats, until covered."""
    if count == "until covered":
        return count
    return f"{count} coat{'' if count.removeprefix('about ') == '1' else 's'}"


def coats_of(count: str, name: str) -> str:
    """Return what is laid in how many coats: 1 coat of Kelp glass, Kelp glass until covered."""
    return f"{name} until covered" if count == "until covered" else f"{coats_said(count)} of {name}"


@dataclass(slots=True)
class Told:
    """Rows of facts, and what the template shows besides."""

    facts: list[tuple[str, str]] = field(default_factory=list)
    more: dict[str, Any] = field(default_factory=dict)
