"""Which kind of document something is, asked of what it says: it may be a model, or be there to look at only."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing_extensions import TypeIs

    from sprayout_core.documents.kinds import Formula, Material, Recipe
    from sprayout_core.documents.shops import Library
    from sprayout_core.documents.sprayed import Batch, Judgement, Panel, Picture, Reading

__all__ = [
    "is_batch", "is_formula", "is_judgement", "is_library", "is_material", "is_panel", "is_picture", "is_reading",
    "is_recipe",
]  # fmt: skip


def is_material(document: object) -> TypeIs[Material]:
    """Say whether this is a material."""
    return _is("material", document)


def is_formula(document: object) -> TypeIs[Formula]:
    """Say whether this is a formula."""
    return _is("formula", document)


def is_recipe(document: object) -> TypeIs[Recipe]:
    """Say whether this is a recipe."""
    return _is("recipe", document)


def is_batch(document: object) -> TypeIs[Batch]:
    """Say whether this is a batch."""
    return _is("batch", document)


def is_panel(document: object) -> TypeIs[Panel]:
    """Say whether this is a panel."""
    return _is("panel", document)


def is_reading(document: object) -> TypeIs[Reading]:
    """Say whether this is a reading."""
    return _is("reading", document)


def is_judgement(document: object) -> TypeIs[Judgement]:
    """Say whether this is a judgement."""
    return _is("judgement", document)


def is_picture(document: object) -> TypeIs[Picture]:
    """Say whether this is a picture."""
    return _is("picture", document)


def is_library(document: object) -> TypeIs[Library]:
    """Say whether this is the manifest of a library."""
    return _is("library", document)


def _is(kind: str, document: object) -> bool:
    # A part of a document may name a kind as well, as a coat's ground does; only a document has an edition.
    return getattr(document, "kind", None) == kind and hasattr(document, "format")
