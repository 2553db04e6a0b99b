"""Mixes of materials in whole parts: what core says of them, without the models. Held against core by tests.

Nearly every mix of a large library is one; all others are asked of core itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import gcd

from sprayout_core.documents import proof_of_facts
from sprayout_library.index.slim import Formula, Head, Panel

__all__ = ["parts_of", "shares_of", "standing_of"]


def parts_of(formula: Formula, head: Callable[[str], Head | None]) -> dict[str, int] | None:
    """Return whole parts by material where a mix is nothing else and nothing of the formula is in question.

    head   gives what every kind may have, of a document that is here
    """
    mix = formula.mix
    if formula.questions or mix is None or not mix.items or mix.basis is None:
        return None
    parts: dict[str, int] = {}
    for name, item in mix.items.items():
        found = head(name) if item.kind == "material" and type(item.ratio) is int else None
        if found is None or found.kind != "material" or type(item.ratio) is not int or item.ratio <= 0:
            return None
        parts[name] = item.ratio
    return parts


def shares_of(parts: dict[str, int]) -> dict[str, tuple[int, int]]:
    """Return the exact share of each material in lowest terms, by id in order."""
    total = sum(parts.values())
    return {name: (part // (own := gcd(part, total)), total // own) for name, part in sorted(parts.items())}


def standing_of(formula: Formula, parts: dict[str, int], panels: Iterable[Panel]) -> tuple[str, list[str]] | None:
    """Return whether such a mix was sprayed as it stands, and which panels prove it; None where core must say."""
    about = [panel for panel in panels if formula.id in (panel.proofs or {})]
    if not about:
        return "never", []
    assert formula.mix is not None
    proof = proof_of_facts({"basis": formula.mix.basis, "ratio": parts, "g_per_l": {}}, None)
    proving = []
    for panel in about:
        thinned = any(coat.formula == formula.id and coat.spray_ready for coat in panel.coats or ())
        if panel.withdrawn is not None or panel.supersedes or thinned:
            return None
        if (panel.proofs or {})[formula.id] == proof:
            proving.append(panel.id)
    return "sprayed" if proving else "changed", proving
