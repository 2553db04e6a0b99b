"""The make-up of a dry film: a mix as it was sprayed, flattened, each material by its volume solids."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from sprayout_core.documents import Find, Formula, Material, resolve
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import composition
from sprayout_core.ratio import exact

__all__ = ["dry_shares", "mix_shares", "solids_known", "sprayed_shares"]


def sprayed_shares(
    formula: Formula, poured: Mapping[str, Mapping[str, int]], find: Find, path: tuple[str, ...] = ()
) -> dict[str, Fraction]:
    """Return {material id: share by volume} of a formula in the ratios that a panel pinned.

    A formula the panel pinned no ratio of counts as it stands now. Raises SprayoutError for mixes by mass, whose
    ratios say nothing of volumes without densities, and what `composition` raises.
    """
    if formula.id in path:
        raise SprayoutError("a mix contains itself")
    ratio = poured.get(formula.id)
    if not ratio:
        return mix_shares(formula, find)
    if formula.mix is None or formula.mix.basis == "mass":
        raise SprayoutError(f"{formula.name} is by mass: its film is not known without densities as sprayed")
    flat: dict[str, Fraction] = {}
    total = sum(ratio.values())
    for key, parts in ratio.items():
        document = resolve(key, find)
        share = Fraction(parts, total)
        if isinstance(document, Formula):
            inner = sprayed_shares(document, poured, find, (*path, formula.id))
        else:
            inner = {key: Fraction(1)}
        for material, part in inner.items():
            flat[material] = flat.get(material, Fraction(0)) + share * part
    return flat


def mix_shares(formula: Formula, find: Find) -> dict[str, Fraction]:
    """Return {material id: share by volume} of a formula as it stands. Raises SprayoutError for a mix by mass."""
    if formula.mix is not None and formula.mix.basis == "mass":
        raise SprayoutError(f"{formula.name} is by mass: write it by volume to predict it")
    return composition(formula, find)


def solids_known(materials: Mapping[str, object], find: Find) -> bool:
    """Return whether the volume solids of every material are known, reducers aside."""
    found = (find(key) for key in materials)
    return all(
        isinstance(one, Material) and (one.role == "reducer" or one.volume_solids_percent is not None) for one in found
    )


def dry_shares(wet: Mapping[str, Fraction], find: Find) -> dict[str, Fraction]:
    """Return the shares of the dry film: by volume solids where all are known, else as if they were equal.

    A reducer has no solids, by role.
    """
    known = solids_known(wet, find)
    dry: dict[str, Fraction] = {}
    for key, share in wet.items():
        material = find(key)
        if isinstance(material, Material) and material.role == "reducer":
            continue
        solids = Fraction(1)
        if known and isinstance(material, Material) and material.volume_solids_percent is not None:
            solids = exact(material.volume_solids_percent) / 100
        dry[key] = share * solids
    total = sum(dry.values())
    if not total:
        raise SprayoutError("a mix without any solids leaves no film")
    return {key: part / total for key, part in dry.items()}
