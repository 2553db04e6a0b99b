"""What was really poured, from a list and what people say differed from it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from sprayout_core.documents import Material
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, Measure, in_ml, parse_amount
from sprayout_core.mix.bounds import told
from sprayout_library.record.batches import Really, in_unit
from sprayout_library.record.cups import Shelf, catalysed
from sprayout_library.record.names import Names

__all__ = ["hardener_in", "really_poured"]


def really_poured(
    listed: Sequence[tuple[str, Fraction, str]],
    said: Sequence[tuple[str, str]],
    lots: Sequence[tuple[str, str]],
    shelf: Shelf,
    names: Names,
) -> list[Really]:
    """Return what went in: what was said in the place of what was listed, the rest as listed, lots where named.

    listed  id, amount and unit of each line of a pour list
    said    name and amount of what really went in; one that is not on the list is in the cup all the same
    lots    name and lot

    Raises SprayoutError for more out of another cup than is left in it, and for a lot of what was not poured.
    """
    poured = {key: Really(_kind(key, shelf), key, amount, unit) for key, amount, unit in listed}
    told_twice = set()
    for name, text in said:
        if names.matching(name, "formula") and not names.matching(name, "material", "batch"):
            raise SprayoutError(
                f"{name!r} is a mix, and is poured from its materials here",
                "Say each of them, or the cup it came from: --from CODE.",
            )
        entry = names.find(name, "material", "batch")
        if entry.id in told_twice:
            raise SprayoutError(f"{name!r} was said twice", "Say once how much of it went in.")
        told_twice.add(entry.id)
        amount = parse_amount(text)
        unit = "g" if amount.measure is Measure.G else "ml"
        value = amount.value if unit == "g" else in_ml(amount)
        poured[entry.id] = Really(entry.kind, entry.id, value, unit)
    for name, lot in lots:
        entry = names.find(name, "material")
        if entry.id not in poured:
            raise SprayoutError(f"{name!r} was not poured", "Name lots only of what went in.")
        held = poured[entry.id]
        poured[entry.id] = Really(held.kind, held.id, held.amount, held.unit, lot)
    for one in poured.values():
        if one.kind == "batch":
            _refuse_more_than_left(one, shelf)
    return list(poured.values())


def _kind(key: str, shelf: Shelf) -> str:
    return "batch" if key in shelf.batches else "material"


def _refuse_more_than_left(one: Really, shelf: Shelf) -> None:
    batch = shelf.batches.get(one.id)
    if batch is None:
        raise SprayoutError("that cup was taken out of use", "Bring it back, or take another.")
    unit, left = shelf.unit(one.id), shelf.left(one.id)
    taken = in_unit(Amount(one.amount, Measure.G if one.unit == "g" else Measure.ML), unit, shelf, one.id)
    if taken > left:
        raise SprayoutError(
            f"{told(taken, 2)} {unit} is more than the {told(left, 2)} {unit} left in {batch.label}",
            "Say what was really taken.",
        )


def hardener_in(poured: Sequence[Really], shelf: Shelf) -> set[str]:
    """Return the ids among what was poured that bring hardener: a hardener, or a cup with one in it."""
    found = set()
    for one in poured:
        batch = shelf.batches.get(one.id)
        document = shelf.store.find(one.id)
        if batch is not None and catalysed(batch, shelf):
            found.add(one.id)
        if isinstance(document, Material) and document.role == "hardener":
            found.add(one.id)
    return found
