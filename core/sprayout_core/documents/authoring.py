"""Rules across atoms that hold when a document is written, though a join of two states may break them."""

from __future__ import annotations

from collections.abc import Iterator

from sprayout_core.documents.head import Document
from sprayout_core.documents.kinds import Material
from sprayout_core.errors import Fault

__all__ = ["authoring_faults"]


def authoring_faults(document: Document) -> Iterator[Fault]:
    """Yield what an author has to mend. A join of two shops' edits may break these rules and must not fail."""
    if isinstance(document, Material):
        yield from _material(document)


def _material(material: Material) -> Iterator[Fault]:
    if material.role != "reducer":
        return
    for member in ("volume_solids_percent", "mass_solids_percent"):
        if (getattr(material, member) or "0") != "0":
            yield Fault(member, "a reducer has no solids, by role", "Drop it, or give another role.")
