"""Filling a cup: a portion with leftovers of other cups in it, as a pour list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from sprayout_core.documents import Batch, Formula
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, Dropper, Scale
from sprayout_core.mix.bounds import told
from sprayout_library.record.batches import in_unit
from sprayout_library.record.cups import Shelf, shares_of
from sprayout_library.today.portions import Line, Portion, portion, poured_out
from sprayout_library.today.pouring import Pouring, list_for
from sprayout_library.today.tools import Cup

__all__ = ["filled"]


def filled(
    formula: Formula,
    shelf: Shelf,
    wanted: Amount,
    tool: Cup | Scale | None,
    variant: str | None,
    leftovers: Sequence[tuple[str, Amount | None]] = (),
    droppers: Mapping[str, Dropper] | None = None,
) -> Pouring:
    """Return how to fill a cup with a mix, leftovers first.

    leftovers  other cups that go in: id, and how much of it (None: as much as belongs in, up to all of it)

    A leftover goes in where it is this very mix, or a mix that this one contains; any other is refused with what it
    would do. Raises as `list_for` does.
    """
    made = portion(formula, shelf.store.find, wanted, variant)
    found: list[Line] = []
    for cup, amount in leftovers:
        made, line = _with(made, shelf, formula, variant, (cup, amount))
        found.append(line)
    rest = poured_out(made, shelf.store.find)
    whole = Portion((*found, *(line for line in rest.lines if line.ml or line.g)), made.basis)
    pouring = list_for(whole, formula, shelf.store.find, tool, variant, droppers)
    _refuse_short(pouring, found, shelf)
    return pouring


def _refuse_short(pouring: Pouring, leftovers: Sequence[Line], shelf: Shelf) -> None:
    """A cup's marks may make more than was asked for: more than a leftover holds is refused."""
    for line in leftovers:
        batch, poured = shelf.batches[line.key], next(one for one in pouring.lines if one.key == line.key)
        held, unit = shelf.left(line.key), shelf.unit(line.key)
        wanted = poured.exact
        if poured.unit != unit:
            mine, other = (line.g, line.ml) if unit == "g" else (line.ml, line.g)
            wanted = Fraction(0) if not mine or not other else wanted * mine / other
        if wanted > held:
            raise SprayoutError(
                f"{batch.label} holds {told(held, 2)} {unit}, and {pouring.tool} takes {told(wanted, 2)} of it",
                "Pour less, or into marks in ml or on the scale, which take no more than was asked for.",
            )


def _with(
    made: Portion, shelf: Shelf, formula: Formula, variant: str | None, given: tuple[str, Amount | None]
) -> tuple[Portion, Line]:
    """Return what is still to pour beside a leftover, and the line of the leftover."""
    cup, amount = given
    batch = shelf.batches.get(cup)
    if batch is None:
        raise SprayoutError("that cup was taken out of use", "Bring it back, or take another.")
    place = next((line for line in made.lines if line.key == batch.formula), None)
    if batch.formula == formula.id and _same(shelf, batch, formula, variant):
        unit = shelf.unit(cup)
        total = made.total_ml if unit == "ml" else made.total_g
        room = _known(total, unit, formula)
        taken = _taken(shelf, batch, amount, room)
        kept = 1 - taken / room
        lines = tuple(_scaled(line, kept) for line in made.lines)
        return Portion(lines, made.basis), _line(shelf, batch, taken, unit)
    if place is not None and _same(shelf, batch, shelf.store.find(batch.formula), batch.spray_ready):
        if batch.spray_ready:
            _refuse_reduced(shelf, batch, batch.spray_ready)
        unit = shelf.unit(cup)
        room = _known(place.ml if unit == "ml" else place.g, unit, formula)
        taken = _taken(shelf, batch, amount, room)
        lines = tuple(_scaled(line, 1 - taken / room) if line is place else line for line in made.lines)
        # The cup counts as the mix that it was poured as: its rounding would make another ratio of every whole one.
        return Portion(lines, made.basis), replace(_scaled(place, taken / room), key=cup, kind="batch")
    raise _other_mix(shelf, batch, formula, variant)


def _refuse_reduced(shelf: Shelf, batch: Batch, variant: str) -> None:
    formula = shelf.store.find(batch.formula)
    ready = (formula.spray_ready or {}).get(variant) if isinstance(formula, Formula) else None
    if ready is not None and ready.reduce is not None:
        raise SprayoutError(
            f"{batch.label} is reduced for {variant}", "Its reducer would come into this mix: take an unreduced cup."
        )


def _same(shelf: Shelf, batch: Batch, formula: object, variant: str | None) -> bool:
    """Return whether a cup was poured from a mix as it stands now, made ready in the same way."""
    if not isinstance(formula, Formula):
        return False
    unit = shelf.unit(batch.id)
    return shelf.meant(batch, unit) == shares_of(formula, shelf.store.find, variant, unit)


def _other_mix(shelf: Shelf, batch: Batch, formula: Formula, variant: str | None) -> SprayoutError:
    from sprayout_library.record.batches import check_against

    held = shelf.store.find(batch.formula)
    name = held.name if held is not None else "another mix"
    try:
        said = check_against(shelf, batch, formula, shelf.store.find, variant).sentence
    except SprayoutError:
        said = ""
    if batch.formula == formula.id:
        name = f"{name} as it was, or made ready for another gun"
    return SprayoutError(
        f"{batch.label} is {name}, which is not what {formula.name} takes",
        said or "Take another cup, or pour from tins.",
    )


def _taken(shelf: Shelf, batch: Batch, amount: Amount | None, room: Fraction) -> Fraction:
    unit, left = shelf.unit(batch.id), shelf.left(batch.id)
    taken = min(left, room) if amount is None else in_unit(amount, unit, shelf, batch.id)
    if not left:
        raise SprayoutError(f"{batch.label} is empty", "Take another cup.")
    if taken > left:
        raise SprayoutError(
            f"{batch.label} holds {told(left, 2)} {unit}, not {told(taken, 2)}", "Take what is there, or less."
        )
    if taken > room:
        raise SprayoutError(
            f"{told(taken, 2)} {unit} of {batch.label} is more than the {told(room, 2)} {unit} that belong in",
            "Take less of it, or pour a larger amount.",
        )
    return taken


def _known(amount: Fraction | None, unit: str, formula: Formula) -> Fraction:
    if amount is None:
        raise SprayoutError(
            f"{formula.name} cannot be told in {unit}, as this cup is",
            "Record the densities of what is in it: sprayout material NAME --density G/ML.",
        )
    return amount


def _scaled(line: Line, kept: Fraction) -> Line:
    ml = None if line.ml is None else line.ml * kept
    return replace(line, ml=ml, g=None if line.g is None else line.g * kept)


def _line(shelf: Shelf, batch: Batch, taken: Fraction, unit: str) -> Line:
    ml: Fraction | None = taken if unit == "ml" else None
    g: Fraction | None = taken if unit == "g" else None
    try:
        known = shelf.density(batch.id)
        ml, g = (taken, taken * known) if unit == "ml" else (taken / known, taken)
    except SprayoutError:
        pass  # the other measure is simply not known; whoever needs it says so
    return Line(batch.id, "batch", ml, g)
