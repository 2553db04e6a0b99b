"""Cautions of everything a document reaches, each with the materials that carry it."""

from __future__ import annotations

from sprayout_core.documents import Batch, Document, Find, Formula, Material, Panel, Recipe
from sprayout_core.mix import Caution, cautions_for

__all__ = ["cautions_of"]


def cautions_of(document: Document, find: Find) -> list[str]:
    """Return the sentences to show; none where no material carries a caution, which is no statement about it."""
    carried: dict[str, set[str]] = {}
    seen: set[str] = set()
    waiting = [document.id]
    while waiting:
        key = waiting.pop()
        if key in seen:
            continue
        seen.add(key)
        one = document if key == document.id else find(key)
        if isinstance(one, Material):
            for word in (one.cautions or {}).values():
                carried.setdefault(word, set()).add(one.name)
        elif one is not None:
            waiting.extend(_reached(one))
    if not carried:
        return []
    who = "; ".join(f"{word}: {', '.join(sorted(names))}" for word, names in sorted(carried.items()))
    return [f"Cautions ({who})", *cautions_for(Caution(word) for word in carried)]


def _reached(document: Document) -> list[str]:
    if isinstance(document, Formula):
        reducers = [one.reduce.material for one in (document.spray_ready or {}).values() if one.reduce]
        return [*((document.mix.items if document.mix else None) or {}), *filter(None, reducers)]
    if isinstance(document, Recipe):
        found = [coat.formula for coat in (document.coats or {}).values()]
        found += [ground.id for ground in (document.grounds or {}).values()]
        return found + ([document.clear.of.id] if document.clear else [])
    if isinstance(document, Panel):
        things = [one.id for one in (document.ground, document.clear) if one]
        return [*(coat.formula for coat in document.coats or []), *things]
    if isinstance(document, Batch):
        return [document.formula, *(one.id for one in document.poured)]
    return []
