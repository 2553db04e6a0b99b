"""Whether a formula still is what a coat or a cup was pinned to; a changed one is never printed in its place."""

from __future__ import annotations

from collections.abc import Mapping

from sprayout_core.documents import (
    CyclicMix,
    Find,
    Formula,
    MissingDocument,
    MissingVariant,
    OpenQuestion,
    Recipe,
    proof,
    proofs,
)

__all__ = ["PINNED_ELSEWHERE", "as_poured", "pinned_elsewhere"]

PINNED_ELSEWHERE = "This recipe pins another version than the one shown here: do not pour from this."


def pinned_elsewhere(recipe: Recipe, find: Find) -> frozenset[str]:
    """Return the ids of formulas of which some coat pins a version that is not the one found."""
    changed = set()
    for _, coat in recipe.coats_in_order():
        formula = find(coat.formula)
        if coat.pinned and isinstance(formula, Formula) and _proof(formula, coat.spray_ready) != coat.pinned:
            changed.add(coat.formula)
    return frozenset(changed)


def as_poured(formula: Formula, find: Find, spray_ready: str | None, pinned: Mapping[str, str]) -> bool:
    """Return whether a formula, with all it contains, is what a batch was poured from."""
    try:
        return proofs(formula, find, spray_ready) == dict(pinned)
    except (OpenQuestion, MissingVariant, MissingDocument, CyclicMix):
        return False


def _proof(formula: Formula, spray_ready: str | None) -> str:
    try:
        return proof(formula, spray_ready)
    except (OpenQuestion, MissingVariant):
        return ""
