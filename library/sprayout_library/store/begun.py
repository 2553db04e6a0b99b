"""Which manifest counts: a library has one, but two libraries brought together through one place bring one each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_core.documents.which import is_library

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sprayout_core.documents import Library
    from sprayout_library.store.store import Store

__all__ = ["manifest", "manifests", "manifests_in_order"]


def manifests(store: Store) -> list[Library]:
    """Return the manifests of a library; the first one counts, for everybody who has the same documents."""
    return manifests_in_order(document for document in store.documents("library") if is_library(document))


def manifests_in_order(found: Iterable[Library]) -> list[Library]:
    """Return manifests, the one that counts first.

    One in use goes before one that was withdrawn, then the one made first: ids begin with the time (RFC 9562, UUIDv7).
    """
    return sorted(found, key=lambda one: (one.withdrawn is not None, one.id))


def manifest(store: Store) -> Library | None:
    """Return the manifest that counts, or None where the library was not begun yet."""
    return next(iter(manifests(store)), None)
