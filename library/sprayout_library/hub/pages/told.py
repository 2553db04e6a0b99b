"""What a kind of document adds to its page."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

__all__ = ["Told"]


@dataclass(slots=True)
class Told:
    """Rows of facts, and what the template shows besides."""

    facts: list[tuple[str, str]] = field(default_factory=list)
    more: dict[str, Any] = field(default_factory=dict)
