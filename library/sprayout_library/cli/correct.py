"""sprayout correct: a recipe from a panel that missed its standard, or a cup by adding only."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from fractions import Fraction

    from sprayout_library.film.correcting import CorrectedRecipe
    from sprayout_library.film.pots import CorrectedPot
    from sprayout_library.record import Names
    from sprayout_library.store import Store


@click.command("correct")
@click.argument("name")
@click.option("--panel", metavar="PANEL", help="The panel that missed; for a cup by default the last sprayed from it.")
@click.option("--toward", metavar="TARGET", help='Instead of the standard: a panel, or "L* a* b*".')
@click.option("--with", "dyes", multiple=True, metavar="DYE", help="Another dye on hand that may come in.")
@click.option("--over", metavar="GROUND", help="A cup without a panel: over which ground.")
@click.option("--coats", type=click.IntRange(1, 30), help="A cup: how many coats are wanted.")
@click.option("--step", metavar="AMOUNT", help="A cup: the step of your scale or its marks, such as 0.1g.")
@click.option("--holds", metavar="AMOUNT", help="A cup: what it holds; no more is added.")
@click.option("--done", metavar="N", type=click.IntRange(1, 5), help="A cup: way N was added as listed; record it.")
@click.option("--label", metavar="CODE", help="With --done: the code on the cup as it is then.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, name: str, panel: str | None, toward: str | None, form: str | None, **how: Any) -> None:
    """Correct NAME, a recipe or a cup's code, from a measured panel that missed its standard.

    For a recipe: which ratio, which body, which coats, each in pourable parts. For a cup: what to add; nothing can
    be taken out of it.

    \b
    sprayout correct "Kelp fade" --panel KF-4
    sprayout correct C3 --step 0.1g
    sprayout correct C3 --step 0.1g --done 1
    sprayout correct C3 --toward KF-1 --over bronze --coats 5
    """
    from sprayout_core.errors import SprayoutError

    with desk.store() as store:
        names = desk.names(store)
        if names.find(name, "recipe", "batch").kind == "batch":
            pot = _pot(store, names, name, panel, toward, how)
            if how["done"]:
                _record(desk, store, name, pot, how["done"], how["label"])
                return
            if form == "json":
                json_out(pot.data())
            else:
                _tell_pot(pot)
            return
        cups = [option for option in ("over", "coats", "step", "holds", "done") if how[option] is not None]
        if cups:
            raise SprayoutError(f"--{cups[0]} is for a cup; {name} is a recipe", "Leave it out.")
        if panel is None:
            raise SprayoutError("a recipe is corrected from a panel that missed its standard", "Name it: --panel KF-4")
        from sprayout_library.film.correcting import correct_from_panel

        found = correct_from_panel(store, names, name, panel, toward, how["dyes"])
        if form == "json":
            json_out(found.data())
        else:
            _tell_recipe(found)


def _pot(
    store: Store, names: Names, name: str, panel: str | None, toward: str | None, how: dict[str, Any]
) -> CorrectedPot:
    from sprayout_library.cli.cup import found_cup
    from sprayout_library.film.pots import PotAims, correct_cup
    from sprayout_library.record.cups import Shelf

    shelf = Shelf(store)
    batch = found_cup(name, store, names, shelf)
    aims = PotAims(panel, toward, how["over"], how["coats"])
    step, holds = (_amount(how[each], shelf, batch.id) for each in ("step", "holds"))
    return correct_cup(store, names, batch, aims, how["dyes"], step, holds)


def _record(desk: Desk, store: Store, name: str, pot: CorrectedPot, place: int, label: str | None) -> None:
    """Record the cup as it is with what was added: it takes the old one whole."""
    from sprayout_core.documents import Batch
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.cup import found_cup
    from sprayout_library.cli.pour import tell_cup
    from sprayout_library.record import now_text
    from sprayout_library.record.batches import (
        Really,
        corrected_note,
        next_label,
        refuse_unaccountable,
        rescued_facts,
    )
    from sprayout_library.record.cups import Shelf

    if place > len(pot.ways) or not pot.ways[place - 1].additions:
        raise SprayoutError(f"way {place} adds nothing, or is not listed", "Choose one that is.")
    names, shelf, writer = desk.names(store), Shelf(store), desk.writer(store)
    batch = found_cup(name, store, names, shelf)
    added = [
        Really("material", names.find(of, "material").id, amount, pot.unit)
        for of, amount in pot.ways[place - 1].additions
    ]
    facts = rescued_facts(shelf, batch, added, next_label(names, label), now_text(writer.clock()))
    note = corrected_note(f"{pot.aim} over {pot.ground}", writer.by, facts["poured_at"])
    made = writer.new("batch", {"title": facts["label"], **facts, "notes": [note]})
    assert isinstance(made, Batch)
    refuse_unaccountable(shelf, made)
    writer.save([made], f"{made.label} takes {batch.label} whole, corrected")
    say(f"{made.label} takes {batch.label} whole; {batch.label} is empty.")
    tell_cup(desk, made, shelf)


def _amount(text: str | None, shelf: Any, cup: str) -> Fraction | None:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Measure, in_ml
    from sprayout_library.cli.bench_words import amount_in

    if text is None:
        return None
    amount, unit = amount_in(text), shelf.unit(cup)
    if (amount.measure is Measure.G) != (unit == "g"):
        raise SprayoutError(f"this cup is counted in {unit}", f"Give {text} in {unit}.")
    return amount.value if unit == "g" else in_ml(amount)


def _tell_recipe(found: CorrectedRecipe) -> None:
    say(f"{found.recipe} over {found.ground}, towards {found.aim}, {found.view}", bold=True)
    if found.measured is not None:
        rows([(f"{found.panel} as measured", f"{found.measured:.1f} from it: {found.missed}")])
    for place, one in enumerate(found.ways, 1):
        heading(f"{place}. {one.change[0].upper()}{one.change[1:]}")
        for line in one.lines:
            say(f'  sprayout mix "{line}"')
        rows(
            [
                ("spray", f"{counted(one.coats, 'coat')}"),
                ("predicted", f"{one.difference:.1f} from it: {one.towards}"),
                ("to be expected", f"{one.expected:.1f} {one.worst}, all uncertainties in"),
            ]
        )
        for reason in one.reasons[: None if place == 1 else 1]:
            say(f"  {reason}")
    say()
    for note in found.notes:
        soft(f"  {note}")
    soft("  A correction is no promise: spray a panel of it and read that before the job.")


def _tell_pot(found: CorrectedPot) -> None:
    from sprayout_library.cli.bench_words import rounded
    from sprayout_library.film.reaching import FAR

    say(f"{found.cup}, towards {found.aim}, over {found.ground}, {found.view}", bold=True)
    rows([(name, f"{rounded(amount, 2)} {found.unit}") for name, amount in found.held])
    say(f"  As it is, predicted {found.before:.1f} from it.")
    for place, one in enumerate(found.ways, 1):
        say(f"{place}. {one.words(found.unit)}: {one.difference:.1f} from it")
    best = found.ways[0]
    for note in found.notes:
        soft(f"  {note}")
    if best.difference > FAR:
        soft("  Do not add to it for that: see what is in reach, or choose another ground.")
    elif best.additions:
        soft("  Stir, spray a small piece, read it. Once it is added, record it: the same with --done 1")
    else:
        soft("  Adding brings it no nearer: spray it as it is, or pour a new cup.")
