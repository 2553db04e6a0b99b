"""A mix flattened to exact fractions of materials, through every formula it contains."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from sprayout_core.documents import (
    Find,
    MissingDocument,
    MissingVariant,
    OpenQuestion,
    OpenSlot,
    check_path,
    resolve,
)
from sprayout_core.documents.which import is_formula, is_material
from sprayout_core.errors import SprayoutError
from sprayout_core.ratio import exact

if TYPE_CHECKING:
    from sprayout_core.documents import Formula, Material, Mix, Reduce

__all__ = ["NeedsDensity", "as_sprayed", "by_mass", "composition", "density", "grams"]

_PER_LITRE = 1000


class NeedsDensity(SprayoutError):
    """Going from volume to mass needs a density that is not known."""


def composition(mix: Mix | Formula, find: Find) -> dict[str, Fraction]:
    """Return {material id: exact share} of a mix, in its own basis; shares sum to 1.

    A nested formula counts by its share. Where it is in the other basis, and for grams per litre, densities
    in g/ml turn one into the other. Raises MissingDocument (find gave None), OpenQuestion (two answers to a
    mix), OpenSlot (a house ratio not filled), CyclicMix with its path, DeepMix, NeedsDensity.
    """
    flattening = _Flattening(find, {})
    return dict(flattening.formula(mix, ()) if is_formula(mix) else flattening.mix(mix, ()))


@dataclass(frozen=True, slots=True)
class _Flattening:
    """One walk through nested mixes; each formula is flattened once, however often it is met."""

    find: Find
    known: dict[str, dict[str, Fraction]]

    def formula(self, formula: Formula, path: tuple[str, ...]) -> dict[str, Fraction]:
        check_path(formula.id, path)
        if formula.id not in self.known:
            if formula.mix is None or formula.mix.items is None:
                place = f"{formula.id}/mix"
                raise OpenQuestion(f"{formula.name}: two answers to the mix", "Choose first.", place=place)
            self.known[formula.id] = self.mix(formula.mix, (*path, formula.id))
        return self.known[formula.id]

    def mix(self, mix: Mix, path: tuple[str, ...]) -> dict[str, Fraction]:
        if mix.items is None or mix.basis is None:
            raise OpenQuestion("two answers to the mix", "Choose between them first.")
        flat: dict[str, Fraction] = {}
        for key, amount in self.amounts(mix, path).items():
            for material, share in self.component(key, mix, path).items():
                flat[material] = flat.get(material, Fraction(0)) + amount * share
        total = sum(flat.values())
        return {material: amount / total for material, amount in sorted(flat.items())}

    def amounts(self, mix: Mix, path: tuple[str, ...]) -> dict[str, Fraction]:
        """Return the amount of each component: liquids as parts, dry ones per litre turned into parts."""
        items = mix.items or {}
        amounts = {key: Fraction(item.ratio) for key, item in items.items() if item.ratio is not None}
        liquid = sum(amounts.values())
        for key, item in items.items():
            if item.g_per_l is not None:
                volume = exact(item.g_per_l) / self.density_of(key, item.kind, path)
                amounts[key] = liquid * volume / _PER_LITRE
        return amounts

    def component(self, key: str, mix: Mix, path: tuple[str, ...]) -> dict[str, Fraction]:
        kind = (mix.items or {})[key].kind
        if kind == "slot":
            raise OpenSlot(f"the slot {key.removeprefix('slot.')} is open", "Fill it first.", place=key)
        if kind == "material":
            self.material(key)
            return {key: Fraction(1)}
        nested, flat = self.nested(key, path)
        if nested == mix.basis:
            return flat
        return _to_mass(flat, self.find) if mix.basis == "mass" else _to_volume(flat, self.find)

    def material(self, key: str) -> Material:
        document = resolve(key, self.find)
        if not is_material(document):
            raise MissingDocument(f"{key} is a {document.kind}, not a material", "Mend the mix.", place=key)
        return document

    def nested(self, key: str, path: tuple[str, ...]) -> tuple[str, dict[str, Fraction]]:
        """Return the basis and the flattened shares of a formula that is a component."""
        document = resolve(key, self.find)
        if not is_formula(document):
            raise MissingDocument(f"{key} is a {document.kind}, not a formula", "Mend the mix.", place=key)
        flat = self.formula(document, path)
        return (document.mix.basis if document.mix else None) or "volume", flat

    def density_of(self, key: str, kind: str, path: tuple[str, ...]) -> Fraction:
        if kind == "slot":
            raise OpenSlot(f"the slot {key.removeprefix('slot.')} is open", "Fill it first.", place=key)
        if kind == "material":
            return density(self.material(key))
        basis, flat = self.nested(key, path)
        densities = {inner: density(resolve(inner, self.find)) for inner in flat}
        if basis == "volume":
            return sum((share * densities[inner] for inner, share in flat.items()), Fraction(0))
        return 1 / sum((share / densities[inner] for inner, share in flat.items()), Fraction(0))


def density(material: object) -> Fraction:
    """Return the density of a material in g/ml. Raises NeedsDensity where it is not known or in question."""
    if not is_material(material) or material.density_g_per_ml is None:
        name = getattr(material, "name", "this")
        raise NeedsDensity(
            f"the density of {name} is not known",
            "Give it: density_g_per_ml.",
            place=getattr(material, "id", ""),
        )
    return exact(material.density_g_per_ml)


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
    inner = mix.mix if is_formula(mix) else mix
    flat = composition(mix, find)
    return flat if inner is not None and inner.basis == "mass" else _to_mass(flat, find)


def grams(mix: Mix | Formula, find: Find, total: Fraction | int) -> dict[str, Fraction]:
    """Return {material id: grams} for a total in grams; exact. Raises as `by_mass` does."""
    if total <= 0:
        raise SprayoutError(f"{total} g is no amount", "Give a positive amount.")
    return {material: share * total for material, share in by_mass(mix, find).items()}


def as_sprayed(formula: Formula, find: Find, spray_ready: str) -> dict[str, Fraction]:
    """Return the composition of a formula reduced for the gun, in the formula's own basis.

    A reducer that the variant does not name stands under "reducer". Raises OpenQuestion while that variant
    is in question, MissingVariant where the formula has none of that name, and what `composition` raises.
    """
    if formula.is_open(f"spray_ready/{spray_ready}"):
        place = f"{formula.id}/spray_ready/{spray_ready}"
        raise OpenQuestion(f"{formula.name}: two answers to spray-ready {spray_ready!r}", "Choose first.", place=place)
    variants = formula.spray_ready or {}
    if spray_ready not in variants:
        known = ", ".join(sorted(variants)) or "none"
        raise MissingVariant(f"{formula.name} has no spray-ready {spray_ready!r}", f"It has: {known}.")
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
