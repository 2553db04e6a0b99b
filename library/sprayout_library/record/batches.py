"""Batches: what was really poured becomes a cup with a label; taking out, rescuing, stretching, telling cups apart."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from sprayout_core.compare import Add
from sprayout_core.documents import Batch, Find, Formula, Material, OpenSlot, proofs
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, CupCheck, Cure, Measure, NeedsDensity, Rescue, check_cup, in_ml, rescue, stretch
from sprayout_core.mix.bounds import told
from sprayout_core.ratio import decimal_text, exact
from sprayout_library.record.cups import Shelf, catalysed, shares_of
from sprayout_library.record.names import Names

__all__ = [
    "Really", "batch_facts", "check_against", "corrected_note", "in_unit", "next_label", "refuse_unaccountable",
    "rescue_plan", "rescued_facts", "stretch_plan", "take_out", "taken_text",
]  # fmt: skip

#: The longest amount that a document holds.
_LONGEST = 45


@dataclass(frozen=True, slots=True)
class Really:
    """What really went in: a material (with its lot, where known) or another cup, in "ml" or "g"."""

    kind: str
    id: str
    amount: Fraction
    unit: str
    lot: str = ""

    def facts(self) -> dict[str, Any]:
        """Return it as a batch holds it."""
        said = {"kind": self.kind, "id": self.id, f"amount_{self.unit}": taken_text(self.amount)}
        return said | ({"lot": self.lot} if self.lot else {})


def taken_text(amount: Fraction) -> str:
    """Return an exact amount as a document holds it. Raises SprayoutError for one with no text of that length."""
    text = decimal_text(amount)
    refused = SprayoutError(
        f"{told(amount)} has no exact text that short", "Weigh it and say so: --really NAME=AMOUNT."
    )
    if len(text) > _LONGEST:
        raise refused
    try:
        exact(text)
    except SprayoutError:
        raise refused from None
    return text


def batch_facts(
    formula: Formula,
    find: Find,
    really: Sequence[Really],
    *,
    label: str,
    at: str,
    variant: str | None = None,
    takes_whole: str | None = None,
    hardener: Collection[str] = (),
) -> dict[str, Any]:
    """Return the facts of a batch: it pins what the formula was when it was poured.

    hardener  ids among what was poured that are hardener, or cups with hardener in them

    Raises SprayoutError where nothing was poured, and what `proofs` raises.
    """
    if formula.slots:
        raise OpenSlot(f"{formula.name} has an open slot", "Fill it first: sprayout fill.")
    if not really:
        raise SprayoutError("nothing was poured", "Say what went in: --really NAME=AMOUNT, or --done.")
    facts = {
        "formula": formula.id,
        "proofs": proofs(formula, find, variant),
        "poured": [one.facts() for one in really],
        "label": label,
        "poured_at": at,
        "spray_ready": variant,
        "takes_whole": takes_whole,
        "catalysed": "yes" if any(one.id in hardener for one in really) else "no",
    }
    return {name: value for name, value in facts.items() if value is not None}


def refuse_unaccountable(shelf: Shelf, *batches: Batch) -> None:
    """Refuse cups not saved yet of which, or of a cup poured into which, nobody could tell any more what is left.

    Raises SprayoutError for more than was left, and NeedsDensity where grams meet millilitres without a density.
    """
    after = Shelf(shelf.store, batches)
    for batch in batches:
        try:
            after.left(batch.id)
        except NeedsDensity as error:
            raise NeedsDensity(
                f"{error.fault.problem}, and grams and millilitres meet in this cup",
                "Record it (sprayout material NAME --density G/ML), or say everything in one measure.",
            ) from None


def next_label(names: Names, wanted: str | None = None) -> str:
    """Return a code for a new cup: the one wanted where it is free, else the first free one of C1, C2, ..."""
    taken = {entry.label.casefold() for entry in names.entries.values() if entry.label}
    if wanted is not None:
        if wanted.casefold() in taken:
            raise SprayoutError(f"{wanted!r} stands on another cup or panel", "Give each a code of its own.")
        return wanted
    number = 1
    while f"c{number}" in taken:
        number += 1
    return f"C{number}"


def in_unit(amount: Amount, unit: str, shelf: Shelf, cup: str) -> Fraction:
    """Return an amount of what is in a cup in a unit; its density is that of what was poured. Raises NeedsDensity."""
    if unit == "g":
        return amount.value if amount.measure is Measure.G else in_ml(amount) * shelf.density(cup)
    return in_ml(amount) if amount.measure is not Measure.G else amount.value / shelf.density(cup)


def take_out(shelf: Shelf, batch: Batch, amount: Amount | None, into: str, at: str) -> Add:
    """Return the change that takes an amount out of a cup, or all that is left where none is named.

    Raises SprayoutError for more than is left.
    """
    unit = shelf.unit(batch.id)
    left = shelf.left(batch.id)
    taken = left if amount is None else in_unit(amount, unit, shelf, batch.id)
    if not left:
        raise SprayoutError(f"{batch.label} is empty", "Nothing is left to take out.")
    if taken > left:
        raise SprayoutError(
            f"{told(taken)} {unit} is more than the {told(left)} {unit} left in {batch.label}",
            "Say what was really taken, or record first what was poured on.",
        )
    how: dict[str, Any] = {f"amount_{unit}": taken_text(taken)}
    if amount is not None:
        how = {f"amount_{'g' if amount.measure is Measure.G else 'ml'}": taken_text(_own(amount))}
    return Add("taken_out", how | ({"into": into} if into else {}) | {"at": at})


def _own(amount: Amount) -> Fraction:
    return amount.value if amount.measure is Measure.G else in_ml(amount)


def rescue_plan(shelf: Shelf, batch: Batch, capacity: Fraction | None = None) -> Rescue:
    """Return the least additions that restore what was meant from what is still in a cup, by material.

    capacity  of the cup, in the cup's unit

    Raises SprayoutError where hardener is in it, where something is in it that does not belong, where it is empty.
    """
    cure = Cure.BEGUN if catalysed(batch, shelf) else Cure.NOT_BEGUN
    held = shelf.left_in(batch.id)
    if not held:
        raise SprayoutError(f"{batch.label} is empty", "Pour the mix anew.")
    try:
        return rescue(shelf.meant(batch), held, cure, capacity)
    except SprayoutError as error:
        raise SprayoutError(_named(error.fault.problem, shelf), error.fault.remedy) from None


def stretch_plan(shelf: Shelf, batch: Batch, wanted: Fraction, capacity: Fraction | None = None) -> Rescue:
    """Return what to add of each material to make a cup up to `wanted` of its unit, same ratio.

    Raises SprayoutError where hardener is in it, where enough is there, and where the cup is not sound: rescue first.
    """
    cure = Cure.BEGUN if catalysed(batch, shelf) else Cure.NOT_BEGUN
    return stretch(shelf.meant(batch), shelf.left(batch.id), wanted, cure, capacity)


def _named(text: str, shelf: Shelf) -> str:
    """Return a message with the names of the materials it speaks of."""
    for word in set(text.replace("'", " ").split()):
        document = shelf.store.find(word)
        if document is not None:
            text = text.replace(word, document.name)
    return text


def rescued_facts(
    shelf: Shelf, batch: Batch, additions: Sequence[Really], label: str, at: str, taken: Fraction = Fraction(0)
) -> dict[str, Any]:
    """Return the facts of the new cup that takes the old one whole, with what was added.

    taken  what came out of the old cup first, so that everything fits

    It pins what the old cup pins: the additions make that very mix.
    """
    unit = shelf.unit(batch.id)
    whole = Really("batch", batch.id, shelf.left(batch.id) - taken, unit)
    facts = {
        "formula": batch.formula,
        "proofs": dict(batch.proofs),
        "poured": [one.facts() for one in (whole, *additions)],
        "label": label,
        "poured_at": at,
        "spray_ready": batch.spray_ready,
        "takes_whole": batch.id,
        "catalysed": "no",
    }
    return {name: value for name, value in facts.items() if value is not None}


def corrected_note(toward: str, by: str, at: str) -> dict[str, str]:
    """Return the note of a cup that was added to on purpose: without it, it would be brought back to its mix."""
    return {"text": f"added to, toward {toward}: meant off its mix", "by": by, "at": at}


def check_against(shelf: Shelf, batch: Batch, formula: Formula, find: Find, variant: str | None) -> CupCheck:
    """Return what taking this cup for a mix would mean: by what is really in it, dye for dye, in the cup's unit."""
    wanted = shares_of(formula, find, variant, shelf.unit(batch.id))
    held = shelf.contents(batch.id)
    return check_cup(wanted, held, _dyes({*wanted, *held}, find))


def _dyes(keys: Collection[str], find: Find) -> set[str]:
    """Return those that colour: dyes, and where a mix has none whatever gives it its colour."""
    roles: Mapping[str, str | None] = {key: _role(key, find) for key in keys}
    return {key for key, role in roles.items() if role in ("dye", "pearl", "flake", "metallic", "solid")}


def _role(key: str, find: Find) -> str | None:
    document = find(key)
    return document.role if isinstance(document, Material) else None
