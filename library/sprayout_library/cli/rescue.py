"""sprayout rescue: bring a cup back to its mix, or make more of it."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.bench_words import amount_in, named, rounded
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Batch
    from sprayout_core.mix import Rescue
    from sprayout_library.record.cups import Shelf
    from sprayout_library.store import Store


@click.command("rescue")
@click.argument("code")
@click.option("--to", "wanted", metavar="AMOUNT", help="Stretch instead: make this much of it, same ratio.")
@click.option("--holds", metavar="AMOUNT", help="What the cup holds; what does not fit comes out first.")
@click.option(
    "--step", metavar="AMOUNT", help="The step of your scale or cup, such as 0.1g; additions are rounded to it."
)
@click.option(
    "--done", "mode", flag_value="done", help="Added as listed: record the new cup, which takes this one whole."
)
@click.option(
    "--really", multiple=True, metavar="NAME=AMOUNT", help="What was really added; records the cup. Repeat it."
)
@click.option("--label", metavar="CODE", help="The code on the new cup.")
@click.pass_obj
def command(
    desk: Desk, /, code: str, wanted: str | None, holds: str | None, step: str | None, mode: str | None,
    really: tuple[str, ...], label: str | None,
) -> None:  # fmt: skip
    """Tell the least that must be added to the cup CODE to bring its mix back; refused once hardener is in."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.cup import found_cup
    from sprayout_library.record.batches import in_unit, rescue_plan, stretch_plan
    from sprayout_library.record.cups import Shelf

    with desk.store() as store:
        names = desk.names(store)
        shelf = Shelf(store)
        batch = found_cup(code, store, names, shelf)
        unit = shelf.unit(batch.id)
        capacity = in_unit(amount_in(holds), unit, shelf, batch.id) if holds else None
        if wanted:
            off = shelf.off(batch)
            if off is not None and abs(off[1]) > Fraction(1, 100):
                raise SprayoutError(
                    f"{batch.label} is off its mix ({names.label(off[0])}, {rounded(abs(off[1]) * 100)} %)",
                    f"Rescue it first: sprayout rescue {batch.label}. Stretching keeps what is wrong.",
                )
            plan = stretch_plan(shelf, batch, in_unit(amount_in(wanted), unit, shelf, batch.id), capacity)
        else:
            plan = rescue_plan(shelf, batch, capacity)
        rounding = _step(step, unit)
        if mode or really:
            _record(desk, store, shelf, batch, plan, rounding, really, label)
            return
        _tell(shelf, batch, plan, rounding, names)


def _step(step: str | None, unit: str) -> Fraction:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Measure

    if step is None:
        return Fraction(1, 100)
    amount = amount_in(step)
    if (amount.measure is Measure.G) != (unit == "g"):
        raise SprayoutError(f"this cup is counted in {unit}", f"Give the step in {unit}.")
    from sprayout_core.mix import in_ml

    return amount.value if unit == "g" else in_ml(amount)


def _tell(shelf: Shelf, batch: Batch, plan: Rescue, step: Fraction, names: Any) -> None:
    unit = shelf.unit(batch.id)
    if not plan.additions:
        say(f"{batch.label} is as it was meant; nothing to add.")
        return
    if plan.too_much:
        say(
            f"{batch.label}: {names.label(plan.too_much)} sets the total. The least that brings the mix back:",
            bold=True,
        )
    else:
        say(f"{batch.label}: to make more of it, add", bold=True)
    if plan.take_out:
        say(f"  first stir well and take {rounded(plan.take_out, 2)} {unit} out: it would not fit")
    from sprayout_core.mix import to_step

    rows([(names.label(key), f"{rounded(to_step(amount, step), 3)} {unit}") for key, amount in plan.additions.items()])
    say(f"  It comes to {rounded(plan.total, 2)} {unit}.")
    soft(f"Next: sprayout rescue {batch.label} ... --done. The new cup takes this one whole.")


def _record(
    desk: Desk, store: Store, shelf: Shelf, batch: Batch, plan: Rescue, step: Fraction, really: tuple[str, ...],
    label: str | None,
) -> None:  # fmt: skip
    from sprayout_core.documents import Batch
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Amount, Measure, to_step
    from sprayout_library.cli.pour import tell_cup
    from sprayout_library.record import now_text
    from sprayout_library.record.batches import next_label, refuse_unaccountable, rescued_facts, take_out
    from sprayout_library.record.pours import hardener_in, really_poured

    unit = shelf.unit(batch.id)
    names = desk.names(store)
    writer = desk.writer(store)
    listed = [(key, to_step(amount, step), unit) for key, amount in plan.additions.items()]
    added = really_poured(
        [one for one in listed if one[1]], [named(pair, "how much of what") for pair in really], [], shelf, names
    )
    if not added:
        raise SprayoutError("nothing to add", f"{batch.label} is as it was meant.")
    if hardener_in(added, shelf):
        raise SprayoutError("hardener was added", "That is a pour of its own: sprayout pour ... --from the cup.")
    at = now_text(writer.clock())
    out: list[Batch] = []
    taken = to_step(plan.take_out, step)
    if taken:
        how = Amount(taken, Measure.G if unit == "g" else Measure.ML)
        lessened = writer.edited(batch, [take_out(shelf, batch, how, "it would not fit", at)])
        assert isinstance(lessened, Batch)
        out.append(lessened)
    facts = rescued_facts(shelf, batch, added, next_label(names, label), at, taken)
    made = writer.new("batch", {"title": facts["label"], **facts})
    assert isinstance(made, Batch)
    refuse_unaccountable(shelf, made, *out)
    writer.save([made, *out], f"{made.label} takes {batch.label} whole")
    say(f"{made.label} takes {batch.label} whole; {batch.label} is empty.")
    tell_cup(desk, made, shelf)
