"""Cautions of a cup and of spraying: those of all that is in it and all its mix reaches, ending at the data sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from sprayout_core.documents.which import is_batch, is_formula, is_material
from sprayout_core.mix import Caution, cautions_for

if TYPE_CHECKING:
    from sprayout_core.documents import Batch, Recipe
    from sprayout_library.record.cups import Shelf

__all__ = ["carried_by", "cup_cautions", "pour_cautions", "spraying_cautions"]

_NONE = "No material of it carries a caution here, which says nothing about it: read the safety data sheets first."


def carried_by(batch: Batch, shelf: Shelf) -> dict[str, list[str]]:
    """Return each caution word with the names of the materials in a cup that carry it."""
    return _carried({one.id for one in batch.poured} | {batch.formula}, shelf)


def _carried(keys: set[str], shelf: Shelf) -> dict[str, list[str]]:
    carried: dict[str, list[str]] = {}
    seen: set[str] = set()
    while keys - seen:
        key = (keys - seen).pop()
        seen.add(key)
        document = shelf.store.find(key)
        if is_material(document):
            for word in dict.fromkeys((document.cautions or {}).values()):
                carried.setdefault(word, []).append(document.name)
        elif is_formula(document):
            keys |= set((document.mix.items if document.mix else None) or {})
        elif is_batch(document):
            keys |= {one.id for one in document.poured}
    return carried


def cup_cautions(batch: Batch, shelf: Shelf) -> list[str]:
    """Return the sentences to print for a cup; none where no material carries one, which is no statement about it."""
    return _sentences(carried_by(batch, shelf))


def pour_cautions(keys: Iterable[str], shelf: Shelf) -> list[str]:
    """Return the sentences to tell before materials, mixes and cups are poured together; never none."""
    return _sentences(_carried(set(keys), shelf)) or [_NONE]


def _sentences(carried: Mapping[str, list[str]]) -> list[str]:
    if not carried:
        return []
    who = "; ".join(f"{word}: {', '.join(sorted(names))}" for word, names in sorted(carried.items()))
    return [f"Cautions ({who})", *cautions_for(Caution(word) for word in carried)]


def spraying_cautions(batches: Iterable[Batch], recipe: Recipe | None, shelf: Shelf) -> list[str]:
    """Return the sentences for spraying from cups: spraying itself is always among them, whatever records say.

    recipe  what is sprayed; its grounds and its clear go on the piece too, mostly from no cup that stands here
    """
    carried: dict[str, list[str]] = {Caution.SPRAY_MIST.value: []}
    sprayed = [carried_by(batch, shelf) for batch in batches]
    if recipe is not None:
        stack = {ground.id for ground in (recipe.grounds or {}).values()}
        sprayed.append(_carried(stack | ({recipe.clear.of.id} if recipe.clear else set()), shelf))
    for one in sprayed:
        for word, names in one.items():
            carried.setdefault(word, []).extend(name for name in names if name not in carried.get(word, []))
    named = "; ".join(f"{word}: {', '.join(sorted(names))}" for word, names in sorted(carried.items()) if names)
    return [f"Cautions ({named})" if named else "Cautions", *cautions_for(Caution(word) for word in carried)]
