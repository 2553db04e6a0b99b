"""A cup on the bench: what is in it, taking out of it, and bringing it back to its mix or making more of it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Batch
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.careful import cautions_of
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit
from sprayout_library.record.cups import Shelf

if TYPE_CHECKING:
    from sprayout_core.mix import Rescue
    from sprayout_library.record import Names
    from sprayout_library.record.batches import Really

__all__ = ["change", "cup", "cup_at", "keep_added", "step_of"]

#: Additions are told to this step of the cup's unit where no other is named.
_STEP = Fraction(1, 100)
_NOTHING = Fraction(0)
#: A cup within a hundredth of its mix is as it was meant.
_SOUND = Fraction(1, 100)


@dataclass(frozen=True, slots=True)
class Addition:
    """One thing to add: its material, its name, how much in words."""

    key: str
    name: str
    amount: str


def cup(visit: Visit) -> Reply:
    """Show a cup, and what would bring it back to its mix or make more of it."""
    batch, shelf = cup_at(visit)
    asked = visit.asked
    shown: dict[str, Any] = {
        "cup": batch, "mix": visit.names.label(batch.formula), "unit": shelf.unit(batch.id), "share": 1.0, "left": "",
        "contents": [], "off": "", "plan": None, "additions": [], "total": "", "take_out": "", "because": None,
        "wanted": asked.said("wanted"), "holds": asked.said("holds"), "step": asked.said("step"),
        "cautions": cautions_of(batch, visit.find), "notes": list((batch.notes or {}).values()),
        "really": {name: asked.said(name) for name in asked.form if name.startswith("really-")},
    }  # fmt: skip
    try:
        left, whole = shelf.left(batch.id), shelf.poured(batch.id)
        shown["left"] = visit.amount(left, shown["unit"])
        shown["share"] = min(max(float(left / whole), 0.0), 1.0) if whole else 1.0
        shown["contents"] = [
            (visit.names.label(key), visit.amount(amount, shown["unit"]), float(amount / left) if left else 0.0)
            for key, amount in shelf.left_in(batch.id).items()
        ]
        shown["off"] = _off(visit, batch, shelf)
        if shown["off"] or shown["wanted"] or not left or batch.catalysed == "yes":  # rounding is no fault
            plan = _plan(visit, batch, shelf)
            shown |= _told(plan, visit, shelf.unit(batch.id), step_of(visit, shelf.unit(batch.id)))
    except SprayoutError as error:
        shown["because"] = error.fault
    return Reply("cup.html", shown)


def _off(visit: Visit, batch: Batch, shelf: Shelf) -> str:
    """Return what a cup is off its mix by, in words; nothing where it is as it was meant."""
    off = shelf.off(batch)
    if off is None or abs(off[1]) <= _SOUND:
        return ""
    return f"{visit.names.label(off[0])} {abs(float(off[1])) * 100:.0f} % {'over' if off[1] > 0 else 'under'}"


def cup_at(visit: Visit) -> tuple[Batch, Shelf]:
    """Return the cup at an address, and the cups it stands among. Raises NotThere."""
    shelf = Shelf(visit.store)
    found = shelf.batches.get(visit.asked.parts["id"])
    if found is None:
        raise NotThere("no cup stands at this address", "It may have been taken out of use.")
    return found, shelf


def _plan(visit: Visit, batch: Batch, shelf: Shelf) -> Rescue:
    from sprayout_core.mix import parse_amount
    from sprayout_library.record.batches import in_unit, rescue_plan, stretch_plan

    asked, unit = visit.asked, shelf.unit(batch.id)
    holds = in_unit(parse_amount(asked.said("holds")), unit, shelf, batch.id) if asked.said("holds") else None
    if not asked.said("wanted"):
        return rescue_plan(shelf, batch, holds)
    if _off(visit, batch, shelf):
        raise SprayoutError("this cup is off its mix", "Bring it back first: making more keeps what is wrong.")
    return stretch_plan(shelf, batch, in_unit(parse_amount(asked.said("wanted")), unit, shelf, batch.id), holds)


def step_of(visit: Visit, unit: str) -> Fraction:
    """Return the step that was named, in the cup's unit. Raises SprayoutError for another measure."""
    from sprayout_core.mix import Measure, in_ml, parse_amount

    text = visit.asked.said("step")
    if not text:
        return _STEP
    amount = parse_amount(text)
    if (amount.measure is Measure.G) != (unit == "g") or not amount.value:
        raise SprayoutError(f"this cup is counted in {unit}", f"Give the step of your scale or cup in {unit}.")
    return amount.value if unit == "g" else in_ml(amount)


def _told(plan: Rescue, visit: Visit, unit: str, step: Fraction) -> dict[str, Any]:
    from sprayout_core.mix import to_step

    return {
        "plan": plan,
        "too_much": visit.names.label(plan.too_much) if plan.too_much else "",
        "take_out": visit.amount(to_step(plan.take_out, step), unit) if plan.take_out else "",
        "additions": [
            Addition(key, visit.names.label(key), visit.amount(to_step(amount, step), unit, 3))
            for key, amount in plan.additions.items()
        ],
        "total": visit.amount(plan.total, unit),
    }  # fmt: skip


def change(visit: Visit) -> Reply:
    """Take something out of a cup, or record that it was brought back to its mix."""
    does = {"take": _take, "added": _added}.get(visit.asked.said("do"))
    if does is None:
        raise SprayoutError("nothing was asked for", "Use one of the buttons.")
    return visit.go(f"/pour/cup/{does(visit)}")


def _take(visit: Visit) -> str:
    from sprayout_core.mix import parse_amount
    from sprayout_library.record.batches import refuse_unaccountable, take_out

    batch, shelf = cup_at(visit)
    writer, said = visit.writer(), visit.asked.said("take")
    if not said:
        raise SprayoutError("how much was taken?", "Write an amount, or rest for all that is left.")
    amount = None if said.casefold() == "rest" else parse_amount(said)
    change = take_out(shelf, batch, amount, visit.asked.said("into")[:200], visit.at)
    after = writer.edited(batch, [change])
    assert isinstance(after, Batch)
    refuse_unaccountable(shelf, after)
    writer.save([after], f"Taken out of {batch.label or batch.name}")
    return batch.id


def _added(visit: Visit) -> str:
    from sprayout_core.mix import to_step

    batch, shelf = cup_at(visit)
    plan = _plan(visit, batch, shelf)
    step = step_of(visit, shelf.unit(batch.id))
    return keep_added(visit, batch, shelf, _really(visit, plan, shelf, step, visit.names), to_step(plan.take_out, step))


def keep_added(
    visit: Visit, batch: Batch, shelf: Shelf, added: list[Really], taken: Fraction = _NOTHING, toward: str = ""
) -> str:
    """Save the new cup that takes a cup whole with what was added, and return its id.

    taken  what came out of the old cup first, in its unit
    toward what it was corrected to on purpose, in words

    Raises SprayoutError for a code that stands elsewhere, and for what nobody could account for.
    """
    from sprayout_core.mix import Amount, Measure
    from sprayout_library.record.batches import (
        corrected_note,
        next_label,
        refuse_unaccountable,
        rescued_facts,
        take_out,
    )

    writer, out = visit.writer(), []
    if taken:
        how = Amount(taken, Measure.G if shelf.unit(batch.id) == "g" else Measure.ML)
        lessened = writer.edited(batch, [take_out(shelf, batch, how, "it would not fit", visit.at)])
        assert isinstance(lessened, Batch)
        out.append(lessened)
    label = next_label(visit.names, visit.asked.said("label") or None)
    facts: dict[str, Any] = rescued_facts(shelf, batch, added, label, visit.at, taken)
    notes = {"notes": [corrected_note(toward, writer.by, visit.at)]} if toward else {}
    made = writer.new("batch", {"title": facts["label"], **facts, **notes})
    assert isinstance(made, Batch)
    refuse_unaccountable(shelf, made, *out)
    writer.save([made, *out], f"{label} takes {batch.label or batch.name} whole")
    return made.id


def _really(visit: Visit, plan: Rescue, shelf: Shelf, step: Fraction, names: Names) -> list[Really]:
    from sprayout_core.mix import to_step
    from sprayout_library.record.pours import hardener_in, really_poured

    unit = shelf.unit(visit.asked.parts["id"])
    listed = [(key, to_step(amount, step), unit) for key, amount in plan.additions.items()]
    said = [(key, text) for key, _, _ in listed if (text := visit.asked.said(f"really-{key}"))]
    added = really_poured([one for one in listed if one[1]], said, [], shelf, names)
    if not added:
        raise SprayoutError("nothing is to be added", "The cup is as it was meant.")
    if hardener_in(added, shelf):
        raise SprayoutError("hardener was added", "That is a pour of its own: pour it out of this cup.")
    return added
