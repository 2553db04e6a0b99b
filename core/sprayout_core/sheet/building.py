"""From documents to a sheet: a formula or recipe with everything it reaches, as printable records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from sprayout_core.documents import Document, Find, Formula, Material, Recipe, digest, dot_order
from sprayout_core.documents import SprayReady as Variant
from sprayout_core.ratio import decimal_text, exact, has_decimal_text
from sprayout_core.sheet.bench import BenchSheet, Ground
from sprayout_core.sheet.cautions import CautionBlock, cautions_for
from sprayout_core.sheet.code import code_for
from sprayout_core.sheet.mixing import (
    MixPart,
    Part,
    PourLine,
    Ratio,
    Reduction,
    SprayReady,
    Strain,
)
from sprayout_core.sheet.pins import PINNED_ELSEWHERE, pinned_elsewhere
from sprayout_core.sheet.questions import Who, name_of, questions_of
from sprayout_core.sheet.schedule import steps_of

__all__ = ["LAST_SPRAYED", "Job", "Said", "bench_sheet", "cautions_of", "mix_part", "reached", "variant_facts"]


LAST_SPRAYED = "TWO ANSWERS OPEN: this is the one that was sprayed last; choose before pouring."
"""Stands beside the ratio of a mix on which shops disagree."""


def _by_copy(copy: str) -> str:
    return f"copy {copy}"


@dataclass(frozen=True, slots=True)
class Said:
    """What documents do not hold and the library says: names, versions, status, dates, in words.

    versions  document id (or pinned proof) to "version 3, 12 March"
    statuses  document id to "sprayed", "changed since it was sprayed", "never sprayed"
    keyed     ids of grounds tinted toward the colour; `baseline` of the shop's usual ones
    who       copy id to the shop's name, for open questions
    last      formula id to the answer that was sprayed last, while its mix has two: shown, marked, never poured
    """

    shop: str = ""
    printed: str = ""
    versions: Mapping[str, str] = field(default_factory=dict)
    statuses: Mapping[str, str] = field(default_factory=dict)
    keyed: frozenset[str] = frozenset()
    baseline: frozenset[str] = frozenset()
    pieces: tuple[str, ...] = ()
    who: Who = _by_copy
    last: Mapping[str, Formula] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Job:
    """What is poured of one formula this time: the cup, the pour list and its total, the body to expect."""

    cup: str = ""
    pours: tuple[PourLine, ...] = ()
    total: str = ""
    body: str = ""


def bench_sheet(
    document: Formula | Recipe,
    library: str,
    find: Find,
    said: Said | None = None,
    jobs: Mapping[str, Job] | None = None,
) -> BenchSheet:
    """Return the sheet of a formula or recipe as it stands, with every mix it reaches, nested ones first.

    library  the library's id, for the code
    find     id to document, None where it is not here: then the sheet says what is missing
    said     what the library knows beside the documents
    jobs     formula id to what is poured of it; without one a mix is shown with nothing to pour

    A mix of which the recipe pins another version than the one found is shown with a warning and nothing to pour.
    """
    said, jobs = said or Said(), jobs or {}

    def shown(reference: str) -> Document | None:
        return said.last.get(reference) or (document if reference == document.id else find(reference))

    found, missing = reached(said.last.get(document.id) or document, shown)
    own = questions_of(document, find, said.who)
    asked = [document if one.id == document.id else find(one.id) for one in found if isinstance(one, Formula)]
    formulas = [one for one in asked if isinstance(one, Formula)]
    coats = {atom: question for atom, question in own.items() if atom.startswith("coats/")}
    kept = () if isinstance(document, Formula) else tuple(own[atom] for atom in own if atom not in coats)
    recipe = document if isinstance(document, Recipe) else None
    elsewhere = pinned_elsewhere(recipe, find) if recipe else frozenset()
    notes = document.notes or {}
    return BenchSheet(
        title=document.name,
        code=code_for(library, document.id, digest(document)),
        shop=said.shop,
        version=said.versions.get(document.id, ""),
        printed=said.printed,
        status=said.statuses.get(document.id, ""),
        mixes=tuple(_mix(formula, find, said, jobs, elsewhere) for formula in formulas),
        grounds=_grounds(recipe, find, said) if recipe else (),
        steps=steps_of(recipe, find, said.versions, coats) if recipe else (),
        pieces=said.pieces,
        two_answers=kept,
        cautions=cautions_of(found),
        notes=tuple(notes[dot].text for dot in sorted(notes, key=dot_order)),
        missing=missing,
    )


def _mix(formula: Formula, find: Find, said: Said, jobs: Mapping[str, Job], elsewhere: frozenset[str]) -> MixPart:
    if formula.id in elsewhere:
        return replace(mix_part(formula, find, said), warning=PINNED_ELSEWHERE)
    return mix_part(formula, find, said, jobs.get(formula.id))


def mix_part(formula: Formula, find: Find, said: Said | None = None, job: Job | None = None) -> MixPart:
    """Return one mix; while its ratio has two answers it shows the one sprayed last, if any, and nothing to pour."""
    said, job = said or Said(), job or Job()
    questions = questions_of(formula, find, said.who)
    is_open = "mix" in questions
    job = Job(body=job.body) if is_open else job
    last = said.last.get(formula.id)
    ratio = _ratio(last, find) if is_open and last else None if is_open else _ratio(formula, find)
    return MixPart(
        title=formula.name,
        ratio=ratio,
        version=said.versions.get(formula.id, ""),
        status=said.statuses.get(formula.id, ""),
        cup=job.cup if ratio else "",
        pours=job.pours if ratio else (),
        total=job.total if ratio else "",
        body=job.body or "; ".join(dict.fromkeys(one.body for one in (formula.spray_ready or {}).values() if one.body)),
        spray_ready=tuple(
            variant_facts(name, variant, find) for name, variant in sorted((formula.spray_ready or {}).items())
        ),
        two_answers=tuple(questions.values()),
        warning=LAST_SPRAYED if is_open and ratio else "",
    )


def variant_facts(name: str, variant: Variant, find: Find) -> SprayReady:
    """Return a formula's spray-ready variant as it is told; its key stands in where no gun is named."""
    strainers = variant.strain
    strains = []
    if strainers and strainers.pour:
        strains.append(Strain("pour", strainers.pour.opening_um))
    if strainers and strainers.gun:
        strains.append(Strain("gun", strainers.gun.opening_um))
    reduce = None
    if variant.reduce:
        percent = decimal_text(exact(variant.reduce.parts) * 100)
        reducer = name_of(variant.reduce.material, find) if variant.reduce.material else "reducer"
        reduce = Reduction(percent, reducer, "on top" if variant.reduce.of == "mix" else "within")
    return SprayReady(variant.gun or name, reduce, tuple(strains), variant.tip_mm or "", variant.laid or "")


def reached(document: Document, find: Find) -> tuple[tuple[Document, ...], tuple[str, ...]]:
    """Return every formula and material a document reaches, nested ones first; then names of what is missing.

    A mix that contains itself, which only several documents together can do, is entered once.
    """
    found: dict[str, Document] = {}
    missing: dict[str, str] = {}
    _reach(document, find, found, missing, frozenset())
    return tuple(found.values()), tuple(missing.values())


def _reach(
    document: Document, find: Find, found: dict[str, Document], missing: dict[str, str], above: frozenset[str]
) -> None:
    if document.id in above or document.id in found:
        return
    for reference in _references(document):
        other = find(reference)
        if other is None:
            missing[reference] = name_of(reference, find)
        else:
            _reach(other, find, found, missing, above | {document.id})
    found[document.id] = document


def _references(document: Document) -> list[str]:
    """Return the ids of what goes into a formula or lies on a recipe's panel, in the order it is used."""
    if isinstance(document, Formula):
        mix = document.mix
        inside = [key for key in mix.pouring_order() if not key.startswith("slot.")] if mix else []
        variants = (document.spray_ready or {}).values()
        reducers = [one.reduce.material for one in variants if one.reduce and one.reduce.material]
        return inside + reducers
    if isinstance(document, Recipe):
        grounds = [ground.id for _, ground in sorted((document.grounds or {}).items())]
        coats = [coat.formula for _, coat in document.coats_in_order()]
        return grounds + coats + ([document.clear.of.id] if document.clear else [])
    return []


def _ratio(formula: Formula, find: Find) -> Ratio | None:
    mix = formula.mix
    if mix is None or mix.items is None or mix.basis is None:
        return None
    scale = exact(mix.scale) if mix.scale else Fraction(1)
    order = [(key, mix.items[key]) for key in mix.pouring_order()]
    parts = [(key, item.ratio) for key, item in order if item.ratio is not None]
    if not all(has_decimal_text(ratio * scale) for _, ratio in parts):
        scale = Fraction(1)
    return Ratio(
        mix.basis,
        tuple(Part(decimal_text(ratio * scale), name_of(key, find)) for key, ratio in parts),
        tuple(Part(item.g_per_l, name_of(key, find), "g per l") for key, item in order if item.g_per_l is not None),
    )


def _grounds(recipe: Recipe, find: Find, said: Said) -> tuple[Ground, ...]:
    dots = sorted(recipe.grounds or {}, key=dot_order)
    grounds = dict.fromkeys((recipe.grounds or {})[dot].id for dot in dots)
    return tuple(
        Ground(name_of(one, find), "keyed" if one in said.keyed else "baseline" if one in said.baseline else "")
        for one in grounds
    )


def cautions_of(found: tuple[Document, ...]) -> tuple[CautionBlock, ...]:
    """Return the cautions that the materials among these documents carry."""
    carried: dict[str, list[str]] = {}
    for material in found:
        if isinstance(material, Material):
            words = carried.setdefault(material.name, [])
            words += dict.fromkeys((material.cautions or {}).values())
            words += [material.safety_notes] if material.safety_notes else []
    return cautions_for(carried)
