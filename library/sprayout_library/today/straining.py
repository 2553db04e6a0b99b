"""Strainers of a mix made ready for a gun: the one at the pour, and a warning for one that holds flakes back."""

from __future__ import annotations

from sprayout_core.documents import Find, Formula, Material
from sprayout_core.mix import holds_back
from sprayout_core.ratio import exact
from sprayout_library.today.portions import Portion, variant_of

__all__ = ["held_back", "pour_strainer"]


def pour_strainer(formula: Formula, variant: str | None) -> str:
    """Return the opening of the strainer at the pour, um as decimal text; empty for none."""
    found = variant_of(formula, variant)
    return found.strain.pour.opening_um if found and found.strain and found.strain.pour else ""


def held_back(formula: Formula, found: Portion, find: Find, variant: str | None) -> list[str]:
    """Return a warning for each strainer that takes the flakes out of the mix."""
    ready = variant_of(formula, variant)
    strain = ready.strain if ready else None
    told_where = (("at the pour", strain.pour if strain else None), ("in the gun cup", strain.gun if strain else None))
    warnings = []
    for line in found.lines:
        material = find(line.key)
        if not isinstance(material, Material) or material.flake_um is None:
            continue
        for where, one in told_where:
            if one is not None and holds_back(exact(one.opening_um), exact(material.flake_um)):
                warnings.append(
                    f"the {one.opening_um} um strainer {where} holds {material.name} back ({material.flake_um} um)"
                )
    return warnings
