"""Needs: how much of every mix a job or a day takes, nested mixes first, shared mixes summed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from sprayout_core.documents import Coat, Find, Formula, Material, Recipe, resolve
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import (
    NO_REDUCER,
    Amount,
    Coats,
    Job,
    JobNeed,
    Measure,
    MixNeed,
    ReduceOf,
    Reduction,
    Wanted,
    composition,
    in_ml,
    job_need,
    todays_need,
)
from sprayout_core.mix.bounds import Span
from sprayout_core.ratio import exact
from sprayout_library.today.portions import density_of, portion, variant_of

__all__ = ["CoatNeed", "JobFacts", "coats_of", "day", "job_needs", "volume_solids"]


@dataclass(frozen=True, slots=True)
class JobFacts:
    """What is known of a job; what is not said is taken from the record, never invented.

    areas_m2   each piece's area
    lands      share that lands on the piece, as a range
    film_um    dry film of one coat, where the recipe does not say it
    solids     volume solids of the mix, share of 1, where its materials do not say them
    covered    how many coats to count "until covered" as
    loss_ml    what stays in cup, hose and gun
    """

    areas_m2: Mapping[str, Fraction]
    lands: Span
    film_um: Span | None = None
    solids: Fraction | None = None
    coats: Coats | None = None
    covered: Coats | None = None
    loss_ml: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class CoatNeed:
    """What one line of a coat schedule takes; `notes` say what was taken for what."""

    formula: str
    said: str
    need: JobNeed
    notes: tuple[str, ...] = field(default=())


def job_needs(document: Formula | Recipe, find: Find, facts: JobFacts, variant: str | None = None) -> list[CoatNeed]:
    """Return what a job takes of a formula, or of each coat of a recipe. Raises SprayoutError for what is not said."""
    if isinstance(document, Recipe):
        return [_coat_need(coat, find, facts, variant) for _, coat in document.coats_in_order()]
    if facts.coats is None:
        raise SprayoutError(f"how many coats of {document.name}?", "Give --coats 5, or 4 to 5.")
    return [_need(document, find, facts, (facts.coats, variant, None, ()))]


def _coat_need(coat: Coat, find: Find, facts: JobFacts, variant: str | None) -> CoatNeed:
    formula = resolve(coat.formula, find)
    assert isinstance(formula, Formula)
    coats, notes = coats_of(coat.count, facts)
    return _need(formula, find, facts, (coats, variant or coat.spray_ready, coat.film_um, notes))


def _need(
    formula: Formula, find: Find, facts: JobFacts, coat: tuple[Coats, str | None, str | None, tuple[str, ...]]
) -> CoatNeed:
    coats, variant, film, notes = coat
    film_um = Span.exactly(exact(film)) if film else facts.film_um
    if film_um is None:
        raise SprayoutError(f"no film per coat is recorded for {formula.name}", "Give --film 8 to 12 (um dry).")
    solids, more = (facts.solids, ()) if facts.solids is not None else volume_solids(formula, find)
    ready = variant_of(formula, variant)
    reduction = NO_REDUCER
    if ready and ready.reduce:
        reduction = Reduction(exact(ready.reduce.parts), ReduceOf.MIX if ready.reduce.of == "mix" else ReduceOf.WHOLE)
    job = Job(facts.areas_m2, coats, film_um, solids, facts.lands, reduction, facts.loss_ml)
    said = f"{coats.fewest}" if coats.fewest == coats.most else f"{coats.fewest} to {coats.most}"
    return CoatNeed(formula.id, f"{said} coats of {formula.name}", job_need(job), (*notes, *more))


def coats_of(count: str, facts: JobFacts) -> tuple[Coats, tuple[str, ...]]:
    """Return a recorded count as numbers, with what had to be taken for it.

    "about 5" is taken as 4 to 6; "until covered" has no number and needs one to be said.
    """
    if facts.coats is not None:
        return facts.coats, (f"{count} in the recipe",)
    if count == "until covered":
        if facts.covered is None:
            raise SprayoutError(
                '"until covered" has no number of coats', "Say what it took you before: --covered-in 3 or 3 to 4."
            )
        return facts.covered, ("until covered, as told",)
    if count.startswith("about "):
        number = int(count.removeprefix("about "))
        return Coats(max(1, number - 1), number + 1), (f"{count} taken as one fewer to one more",)
    fewest, _, most = count.partition(" to ")
    return Coats(int(fewest), int(most or fewest)), ()


def volume_solids(formula: Formula, find: Find) -> tuple[Fraction, tuple[str, ...]]:
    """Return a mix's volume solids from its materials', with a note on those by role. Raises SprayoutError."""
    flat = composition(formula, find)
    if formula.mix is not None and formula.mix.basis == "mass":
        volumes = {key: share / density_of(resolve(key, find), find) for key, share in flat.items()}
        whole = sum(volumes.values(), Fraction(0))
        flat = {key: volume / whole for key, volume in volumes.items()}
    total, lacking = Fraction(0), []
    for key, share in flat.items():
        material = resolve(key, find)
        assert isinstance(material, Material)
        if material.volume_solids_percent is not None:
            total += share * exact(material.volume_solids_percent) / 100
        elif material.role != "reducer":
            lacking.append(material.name)
    if lacking:
        raise SprayoutError(
            f"the volume solids of {', '.join(lacking)} are not recorded",
            "Record them (sprayout material NAME --solids PERCENT), or say those of the mix: --solids 30.",
        )
    return total, ()


def day(asked: Sequence[tuple[Formula, Amount, str]], find: Find) -> tuple[tuple[MixNeed, ...], str]:
    """Return everything to mix for what is asked, in an order in which each mix stands after those in it, and the unit.

    asked   a formula, how much of it (without reducer), and for what

    Amounts are told in the one measure of the mixes. Raises SprayoutError where they are of both.
    """
    mixes: dict[str, Mapping[str, Fraction]] = {}
    bases: dict[str, str] = {}
    for formula, _, _ in asked:
        _gather(formula, find, mixes, bases)
    if len(set(bases.values())) > 1:
        told = ", ".join(f"{resolve(key, find).name} by {basis}" for key, basis in bases.items())
        raise SprayoutError(f"some mixes are by volume and some by mass: {told}", "Ask for them apart.")
    unit = "ml" if set(bases.values()) <= {"volume"} else "g"
    wanted = [
        Wanted(formula.id, Span.exactly(_in(unit, formula, amount, find)), what) for formula, amount, what in asked
    ]
    return todays_need(mixes, wanted), unit


def _gather(formula: Formula, find: Find, mixes: dict[str, Mapping[str, Fraction]], bases: dict[str, str]) -> None:
    """Note the parts of a formula and of every formula in it; what is weighed dry stands apart from parts."""
    if formula.id in mixes:
        return
    composition(formula, find)
    assert formula.mix is not None
    items = formula.mix.items or {}
    mixes[formula.id] = {
        key: Fraction(items[key].ratio or 0) for key in formula.mix.pouring_order() if items[key].ratio
    }
    bases[formula.id] = formula.mix.basis or "volume"
    for key, item in items.items():
        inner = resolve(key, find)
        if item.kind == "formula" and isinstance(inner, Formula):
            _gather(inner, find, mixes, bases)


def _in(unit: str, formula: Formula, amount: Amount, find: Find) -> Fraction:
    if unit == "ml" and amount.measure is not Measure.G:
        return in_ml(amount)
    if unit == "g" and amount.measure is Measure.G:
        return amount.value
    made = portion(formula, find, amount)
    total = made.total_ml if unit == "ml" else made.total_g
    if total is None:
        raise SprayoutError(f"{formula.name} cannot be told in {unit}", "Record the densities of what is in it.")
    return total
