"""A mix flattened to exact fractions of materials, through every formula it contains."""

from __future__ import annotations

from fractions import Fraction

from sprayout_core.documents import (
    CyclicMix,
    Find,
    Formula,
    Material,
    MissingDocument,
    Mix,
    OpenQuestion,
    OpenSlot,
    Reduce,
    resolve,
)
from sprayout_core.errors import SprayoutError
from sprayout_core.ratio import exact

__all__ = ["NeedsDensity", "as_sprayed", "by_mass", "composition", "density", "grams"]

_PER_LITRE = 1000


class NeedsDensity(SprayoutError):
    """Going from volume to mass needs a density that is not known."""


def composition(mix: Mix | Formula, find: Find) -> dict[str, Fraction]:
    """Return {material id: exact share} of a mix, in its own basis; shares sum to 1.

    A nested formula counts by its share. Where it is in the other basis, and for grams per litre, densities in
    g/ml turn one into the other. Raises MissingDocument (find gave None), OpenQuestion (two answers to a mix),
    OpenSlot (a house ratio not filled), CyclicMix with its path, NeedsDensity.
    """
    return _flat(mix, find, ())


def _flat(mix: Mix | Formula, find: Find, path: tuple[str, ...]) -> dict[str, Fraction]:
    if isinstance(mix, Formula):
        if mix.id in path:
            raise CyclicMix((*path[path.index(mix.id) :], mix.id))
        if mix.mix is None or mix.mix.items is None:
            raise OpenQuestion(f"{mix.name}: two answers to the mix", "Choose first.", place=f"{mix.id}/mix")
        path, mix = (*path, mix.id), mix.mix
    if mix.items is None or mix.basis is None:
        raise OpenQuestion("two answers to the mix", "Choose between them first.")
    flat: dict[str, Fraction] = {}
    for key, amount in _amounts(mix, find, path).items():
        for material, share in _component(key, mix, find, path).items():
            flat[material] = flat.get(material, Fraction(0)) + amount * share
    total = sum(flat.values())
    return {material: amount / total for material, amount in sorted(flat.items())}


def _amounts(mix: Mix, find: Find, path: tuple[str, ...]) -> dict[str, Fraction]:
    """Return the amount of each component, liquids as parts, dry ones per litre turned into the same parts."""
    items = mix.items or {}
    amounts = {key: Fraction(item.ratio) for key, item in items.items() if item.ratio is not None}
    liquid = sum(amounts.values())
    for key, item in items.items():
        if item.g_per_l is not None:
            volume = exact(item.g_per_l) / _density_of(key, item.kind, find, path)
            amounts[key] = liquid * volume / _PER_LITRE
    return amounts


def _component(key: str, mix: Mix, find: Find, path: tuple[str, ...]) -> dict[str, Fraction]:
    assert mix.items is not None
    kind = mix.items[key].kind
    if kind == "slot":
        raise OpenSlot(f"the slot {key.removeprefix('slot.')} is open", "Fill it first.", place=key)
    if kind == "material":
        if find(key) is None:
            raise MissingDocument(
                f"material {key} is not here", "Ask for it with a sync or a packet.", place=key
            )
        return {key: Fraction(1)}
    nested = _nested(key, find)
    flat = _flat(nested, find, path)
    assert nested.mix is not None
    if nested.mix.basis == mix.basis:
        return flat
    return _to_mass(flat, find) if mix.basis == "mass" else _to_volume(flat, find)


def _nested(key: str, find: Find) -> Formula:
    document = resolve(key, find)
    if not isinstance(document, Formula):
        raise MissingDocument(f"{key} is a {document.kind}, not a formula", "Mend the mix.", place=key)
    return document


def _density_of(key: str, kind: str, find: Find, path: tuple[str, ...]) -> Fraction:
    if kind == "material":
        return density(resolve(key, find))
    nested = _nested(key, find)
    flat = _flat(nested, find, path)
    assert nested.mix is not None
    return _mix_density(flat, nested.mix.basis or "volume", find)


def density(material: object) -> Fraction:
    """Return the density of a material in g/ml. Raises NeedsDensity where it is not known or in question."""
    if not isinstance(material, Material) or material.density_g_per_ml is None:
        name = getattr(material, "name", "this")
        raise NeedsDensity(
            f"the density of {name} is not known",
            "Give it: density_g_per_ml.",
            place=getattr(material, "id", ""),
        )
    return exact(material.density_g_per_ml)


def _mix_density(flat: dict[str, Fraction], basis: str, find: Find) -> Fraction:
    densities = {key: density(resolve(key, find)) for key in flat}
    if basis == "volume":
        return sum((share * densities[key] for key, share in flat.items()), Fraction(0))
    return 1 / sum((share / densities[key] for key, share in flat.items()), Fraction(0))


def _to_mass(flat: dict[str, Fraction], find: Find) -> dict[str, Fraction]:
    masses = {key: share * density(resolve(key, find)) for key, share in flat.items()}
    total = sum(masses.values())
    return {key: mass / total for key, mass in masses.items()}


def _to_volume(flat: dict[str, Fraction], find: Find) -> dict[str, Fraction]:
    volumes = {key: share / density(resolve(key, find)) for key, share in flat.items()}
    total = sum(volumes.values())
    return {key: volume / total for key, volume in volumes.items()}


def by_mass(mix: Mix | Formula, find: Find) -> dict[str, Fraction]:
    """Return {material id: exact share by mass}; volumes are taken to add up, as ASTM D5201 assumes.

    Raises NeedsDensity for a mix by volume where a density is not known, and what `composition` raises.
    """
    inner = mix.mix if isinstance(mix, Formula) else mix
    flat = composition(mix, find)
    return flat if inner is not None and inner.basis == "mass" else _to_mass(flat, find)


def grams(mix: Mix | Formula, find: Find, total: Fraction | int) -> dict[str, Fraction]:
    """Return {material id: grams} for a total in grams; exact. Raises as `by_mass` does."""
    return {material: share * total for material, share in by_mass(mix, find).items()}


def as_sprayed(formula: Formula, find: Find, spray_ready: str) -> dict[str, Fraction]:
    """Return the composition of a formula reduced for the gun, in the formula's own basis.

    A reducer that the variant does not name stands under "reducer". Raises SprayoutError for a variant the
    formula does not have, and what `composition` raises.
    """
    variants = formula.spray_ready or {}
    if spray_ready not in variants:
        known = ", ".join(sorted(variants)) or "none"
        raise SprayoutError(f"{formula.name} has no spray-ready {spray_ready!r}", f"It has: {known}.")
    flat = composition(formula, find)
    reduce = variants[spray_ready].reduce
    if reduce is None:
        return flat
    reducer = _reducer_share(reduce)
    thinned = {material: share * (1 - reducer) for material, share in flat.items()}
    key = reduce.material or "reducer"
    thinned[key] = thinned.get(key, Fraction(0)) + reducer
    return thinned


def _reducer_share(reduce: Reduce) -> Fraction:
    parts = exact(reduce.parts)
    return parts if reduce.of == "whole" else parts / (1 + parts)
