"""Portions: how much of each thing makes a wanted amount of a mix, in millilitres and grams, exact."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from sprayout_core.documents import Document, Find, Formula, OpenQuestion, OpenSlot, SprayReady, proof, resolve
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, Measure, NeedsDensity, composition, density
from sprayout_core.ratio import exact

__all__ = ["Line", "Portion", "density_of", "portion", "poured_out", "variant_of"]


@dataclass(frozen=True, slots=True)
class Line:
    """One component of a portion; `ml` or `g` is None where its density is not known.

    dry   weighed dry (pearl, flake): it stands beside the liquid parts and takes no room in the amount
    added whether it is the reducer for the gun, poured after the mix
    """

    key: str
    kind: str
    ml: Fraction | None
    g: Fraction | None
    dry: str = ""
    added: str = ""


@dataclass(frozen=True, slots=True)
class Portion:
    """What makes one amount of a mix; totals are None where a density is missing."""

    lines: tuple[Line, ...]
    basis: str

    @property
    def total_ml(self) -> Fraction | None:
        """All that is liquid, in millilitres."""
        return _sum(line.ml for line in self.lines if not line.dry)

    @property
    def total_g(self) -> Fraction | None:
        """Everything, in grams."""
        return _sum(line.g for line in self.lines)


def variant_of(formula: Formula, name: str | None) -> SprayReady | None:
    """Return a spray-ready variant. Raises MissingVariant, OpenQuestion; None where none is named."""
    if name is None:
        return None
    proof(formula, name)
    return (formula.spray_ready or {})[name]


def density_of(document: Document | None, find: Find) -> Fraction:
    """Return the density in g/ml of a material, or of a formula from what it is mixed of. Raises NeedsDensity."""
    if not isinstance(document, Formula):
        return density(document)
    flat = composition(document, find)
    known = {key: density(resolve(key, find)) for key in flat}
    if document.mix is not None and document.mix.basis == "volume":
        return sum((share * known[key] for key, share in flat.items()), Fraction(0))
    return 1 / sum((share / known[key] for key, share in flat.items()), Fraction(0))


def portion(formula: Formula, find: Find, wanted: Amount, variant: str | None = None) -> Portion:
    """Return what makes `wanted` of a formula, with the reducer of a variant in it.

    An amount by volume counts the liquid parts with the reducer; dry pearl goes on top of it. An amount in grams
    counts everything. Raises OpenQuestion, OpenSlot, MissingVariant, and NeedsDensity where an amount cannot be
    told in the mix's own measure.
    """
    unit = _unit_lines(formula, find, variant)
    if wanted.measure is Measure.G:
        whole, said = _sum(line.g for line in unit), "g"
    else:
        whole, said = _sum(line.ml for line in unit if not line.dry), "ml"
    if whole is None:
        lacking = [line.key for line in unit if (line.g if said == "g" else line.ml) is None]
        names = ", ".join(_name(key, find) for key in lacking)
        raise NeedsDensity(
            f"an amount in {said} needs the density of {names}",
            f"Record it: sprayout material NAME --density; or ask in {'ml' if said == 'g' else 'g'}.",
        )
    factor = (wanted.value if said == "g" else _ml(wanted)) / whole
    return Portion(tuple(_times(line, factor) for line in unit), _basis(formula))


def _ml(wanted: Amount) -> Fraction:
    from sprayout_core.mix import in_ml

    return in_ml(wanted)


def _basis(formula: Formula) -> str:
    if formula.mix is None or formula.mix.items is None or formula.mix.basis is None:
        raise OpenQuestion(f"{formula.name}: two answers to the mix", "Choose first: sprayout answers.")
    return formula.mix.basis


def _unit_lines(formula: Formula, find: Find, variant: str | None) -> list[Line]:
    """Return the lines of the mix at its smallest whole numbers, in ml or g, the reducer last."""
    basis = _basis(formula)
    mix = formula.mix
    assert mix is not None
    items = mix.items or {}
    if formula.slots:
        raise OpenSlot(f"{formula.name} has an open slot", "Fill it first: write a mix of its own.")
    liquid = sum((Fraction(item.ratio) for item in items.values() if item.ratio is not None), Fraction(0))
    lines = []
    for key in mix.pouring_order():
        item = items[key]
        known = _known_density(resolve(key, find), find)
        if item.g_per_l is not None:
            grams = exact(item.g_per_l) * liquid / 1000
            lines.append(Line(key, item.kind, grams / known if known else None, grams, dry="dry"))
        else:
            assert item.ratio is not None
            lines.append(_line(key, item.kind, Fraction(item.ratio), basis, known))
    reducer = _reducer(formula, find, variant, lines, basis)
    return lines + ([reducer] if reducer else [])


def _reducer(formula: Formula, find: Find, variant: str | None, lines: list[Line], basis: str) -> Line | None:
    found = variant_of(formula, variant)
    if found is None or found.reduce is None:
        return None
    if found.reduce.material is None:
        raise SprayoutError(
            f"{formula.name}, {variant}: no reducer is named",
            f'Name it: sprayout ready "{formula.name}" {variant} --reducer NAME.',
        )
    mixed = _sum(line.ml if basis == "volume" else line.g for line in lines)
    if mixed is None:
        dry = ", ".join(_name(line.key, find) for line in lines if line.ml is None)
        raise NeedsDensity(f"reducing it needs the density of {dry}", "Record it: sprayout material NAME --density.")
    share = exact(found.reduce.parts)
    amount = mixed * (share if found.reduce.of == "mix" else share / (1 - share))
    known = _known_density(resolve(found.reduce.material, find), find)
    return _line(found.reduce.material, "material", amount, basis, known, added="reducer")


def _line(key: str, kind: str, amount: Fraction, basis: str, known: Fraction | None, added: str = "") -> Line:
    if basis == "volume":
        return Line(key, kind, amount, amount * known if known else None, added=added)
    return Line(key, kind, amount / known if known else None, amount, added=added)


def _known_density(document: Document, find: Find) -> Fraction | None:
    try:
        return density_of(document, find)
    except NeedsDensity:
        return None


def _times(line: Line, factor: Fraction) -> Line:
    ml = None if line.ml is None else line.ml * factor
    return Line(line.key, line.kind, ml, None if line.g is None else line.g * factor, line.dry, line.added)


def poured_out(found: Portion, find: Find, kept: Mapping[str, str] | None = None) -> Portion:
    """Return a portion with every formula in it poured from its materials, except those in `kept`.

    kept  formula id to the cup it is poured from
    """
    lines: dict[str, Line] = {}
    for line in found.lines:
        document = resolve(line.key, find)
        if isinstance(document, Formula) and line.key not in (kept or {}):
            for inner in _materials(document, line, find):
                _put(lines, inner)
        else:
            _put(lines, line)
    ordered = sorted(lines.values(), key=lambda one: bool(one.added))
    return Portion(tuple(ordered), found.basis)


def _materials(formula: Formula, line: Line, find: Find) -> list[Line]:
    basis = _basis(formula)
    amount = line.ml if basis == "volume" else line.g
    if amount is None:
        raise NeedsDensity(f"the density of {formula.name} is not known", "Record the densities of what is in it.")
    flat = composition(formula, find)
    found = []
    for key, how in _walk(formula, find).items():
        line = _line(key, "material", flat[key] * amount, basis, _known_density(resolve(key, find), find))
        found.append(replace(line, dry=how))
    return found


def _walk(formula: Formula, find: Find) -> dict[str, str]:
    """Return the materials of a mix in the order they are poured, those weighed dry everywhere marked so."""
    found: dict[str, str] = {}
    mix = formula.mix
    for key in mix.pouring_order() if mix else []:
        item = (mix.items or {})[key] if mix else None
        inner = resolve(key, find)
        below = _walk(inner, find) if isinstance(inner, Formula) else {key: "dry" if item and item.g_per_l else ""}
        for material, how in below.items():
            found[material] = how if material not in found else found[material] and how
    return found


def _put(lines: dict[str, Line], line: Line) -> None:
    held = lines.get(line.key)
    if held is None:
        lines[line.key] = line
        return
    ml = None if held.ml is None or line.ml is None else held.ml + line.ml
    g = None if held.g is None or line.g is None else held.g + line.g
    lines[line.key] = Line(line.key, line.kind, ml, g, held.dry and line.dry, held.added and line.added)


def _name(key: str, find: Find) -> str:
    document = find(key)
    return document.name if document else f"…{key[-6:]}"


def _sum(values: Iterable[Fraction | None]) -> Fraction | None:
    total = Fraction(0)
    for value in values:
        if value is None:
            return None
        total += value
    return total
