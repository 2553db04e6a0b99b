"""How much may arrive at once, and how large one piece of it may be."""

from __future__ import annotations

from dataclasses import dataclass

from sprayout_core.documents.text import LARGEST

__all__ = ["LIMITS", "Limits"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds on what arrives; all of them far above what shops do.

    document, tree, commit   bytes of one
    commits, objects         how many of them in one arrival
    total                    bytes of all of them together
    """

    document: int = LARGEST
    tree: int = 4_000_000
    commit: int = 50_000
    commits: int = 500_000
    objects: int = 5_000_000
    total: int = 8_000_000_000


LIMITS = Limits()
