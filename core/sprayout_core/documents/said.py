"""A document said again: as plain members, and as the one text it has in a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from sprayout_core.documents.json_value import Json
from sprayout_core.documents.text import stored
from sprayout_core.documents.walk import pruned

if TYPE_CHECKING:
    from sprayout_core.documents.head import Document

__all__ = ["tree", "write"]


def tree(document: Document) -> dict[str, Json]:
    """Return a document as plain members, lists, text and numbers, empty members left out."""
    looked_at = isinstance(document, msgspec.Struct)
    members = msgspec.to_builtins(document) if looked_at else document.model_dump(exclude_none=True)
    plain: dict[str, Json] = pruned(members)
    return plain


def write(document: Document) -> bytes:
    """Return the stored form of a document: the one text it has in a file."""
    return stored(tree(document))
