"""sprayout pour: the pour list of a mix, and the cup that was really poured."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.bench_words import amount_in, named, pour_rows, rounded
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Batch, Formula
    from sprayout_core.mix import Amount
    from sprayout_library.record import Names
    from sprayout_library.record.cups import Shelf


@click.command("pour")
@click.argument("mix")
@click.argument("amount", required=False)
@click.option("--in", "tool", metavar="TOOL", help="Your cup or scale, by its name.")
@click.option("--through", metavar="VARIANT", help="Made ready for this gun: its reducer is in the amount.")
@click.option(
    "--from", "leftovers", multiple=True, metavar="CUP", help='A cup that goes in: C1, or "C1=40 ml"; repeat it.'
)
@click.option("--drops", multiple=True, metavar="NAME=DROPPER", help="Count this one in drops of your dropper.")
@click.option("--done", "step", flag_value="done", help="Poured as listed: record the cup.")
@click.option("--really", multiple=True, metavar="NAME=AMOUNT", help="What really went in; records the cup. Repeat it.")
@click.option("--lot", multiple=True, metavar="NAME=LOT", help="From which lot; repeat it.")
@click.option("--label", metavar="CODE", help="The code on the cup; by default the first free one of C1, C2, ...")
@click.pass_obj
def command(
    desk: Desk, /, mix: str, amount: str | None, tool: str | None, through: str | None, step: str | None, **given: Any
) -> None:
    """Tell how to pour AMOUNT of MIX, such as "120 g" or "0.2 l"; with --done or --really record the cup.

    \b
    sprayout pour "Kelp glass" 120g --in bench
    sprayout pour "Kelp glass" 120g --in bench --really "strong teal=36.2 g"

    What is not named with --really is recorded as listed.
    """
    from sprayout_core.documents import Formula
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.cups import Shelf
    from sprayout_library.today.cautions import pour_cautions
    from sprayout_library.today.filling import filled
    from sprayout_library.today.tools import tools

    with desk.store() as store:
        names = desk.names(store)
        formula = desk.document(store, mix, "formula")
        assert isinstance(formula, Formula)
        bench = tools()
        shelf = Shelf(store)
        pouring = None
        if amount is not None:
            pouring = filled(
                formula, shelf, amount_in(amount), bench.pours_with(tool) if tool else None, through,
                [_leftover(words, names) for words in given["leftovers"]],
                {names.find(name, "material").id: bench.dropper(dropper)
                 for name, dropper in (named(pair, "which in drops of which dropper") for pair in given["drops"])},
            )  # fmt: skip
        elif not given["really"]:
            raise SprayoutError(
                "how much of it?", 'Give an amount, such as 120g; or what went in: --really "NAME=83 g".'
            )
        elif tool or given["leftovers"] or given["drops"]:
            raise SprayoutError(
                "--in, --from and --drops belong to a pour list", "Give the amount to pour, such as 120g."
            )
        if step or given["really"]:
            _record(desk, shelf, names, formula, pouring, through, given)
            return
        assert pouring is not None
        _tell(formula, pouring, through, amount or "", pour_cautions([one.key for one in pouring.lines], shelf))
        if not given["leftovers"]:
            _own_cups(formula, pouring, names)


def _leftover(words: str, names: Names) -> tuple[str, Amount | None]:
    if "=" not in words:
        return names.find(words, "batch").id, None
    label, amount = named(words, "how much of which cup")
    return names.find(label, "batch").id, amount_in(amount)


def _own_cups(formula: Formula, pouring: Any, names: Names) -> None:
    """Tell of mixes inside this one that they may come from a cup of their own."""
    inside = [key for key, item in (formula.mix.items or {}).items() if item.kind == "formula"] if formula.mix else []
    for key in inside:
        if not any(line.key == key for line in pouring.lines):
            soft(f"  {names.label(key)} is poured from its materials here; from its own cup: --from CODE.")


def _tell(formula: Formula, pouring: Any, through: str | None, amount: str, cautions: list[str]) -> None:
    ready = f", ready for {through}" if through else ""
    tool = f", {pouring.tool}" if pouring.tool else ""
    say(f"{formula.name}{ready}: {pouring.total}{tool}", bold=True)
    rows(pour_rows(pouring))
    if pouring.how:
        say(f"  {pouring.how}")
    for warning in pouring.warnings:
        say(f"  {warning}", fg="yellow")
    for line in cautions:
        say(f"  {line}", fg="yellow")
    soft(f'Next: sprayout pour "{formula.name}" "{amount}" ... --done, or --really "NAME=AMOUNT" for what went in.')


def _record(
    desk: Desk, shelf: Shelf, names: Names, formula: Formula, pouring: Any, through: str | None, given: dict[str, Any]
) -> None:
    from sprayout_core.documents import Batch
    from sprayout_library.record import now_text
    from sprayout_library.record.batches import batch_facts, next_label, refuse_unaccountable
    from sprayout_library.record.pours import hardener_in, really_poured

    writer = desk.writer(shelf.store)
    poured = really_poured(
        [(line.key, line.amount, line.unit) for line in pouring.lines] if pouring else [],
        [named(pair, "how much of what") for pair in given["really"]],
        [named(pair, "which lot of what") for pair in given["lot"]],
        shelf, names,
    )  # fmt: skip
    label = next_label(names, given["label"])
    facts = batch_facts(
        formula, shelf.store.find, poured, label=label, at=now_text(writer.clock()), variant=through,
        hardener=hardener_in(poured, shelf),
    )  # fmt: skip
    batch = writer.new("batch", {"title": label, **facts})
    assert isinstance(batch, Batch)
    refuse_unaccountable(shelf, batch)
    writer.save([batch], f"Poured {label}: {formula.name}")
    tell_cup(desk, batch, shelf)
    soft(f"Next: sprayout label {label} --out {label}.pdf, or sprayout spray start RECIPE --cup {label} --piece ...")


def tell_cup(desk: Desk, batch: Batch, before: Shelf) -> None:
    """Tell a cup just poured: how much, how far from what was meant, what to take care of."""
    from sprayout_library.record.cups import Shelf
    from sprayout_library.today.cautions import cup_cautions

    desk.renamed()
    before.store.refresh()
    shelf = Shelf(before.store)
    names = desk.names(shelf.store)
    unit = shelf.unit(batch.id)
    say(f"{batch.label}: {rounded(shelf.left(batch.id), 2)} {unit} of {names.label(batch.formula)}.", bold=True)
    off = shelf.off(batch)
    if off is not None and abs(off[1]) * 1000 >= 1:
        much = "too much" if off[1] > 0 else "too little"
        say(f"  Furthest from the mix: {names.label(off[0])}, {rounded(abs(off[1]) * 100)} % {much}.")
        if abs(off[1]) * 100 >= 1 and batch.catalysed != "yes":
            soft(f"  To bring it back: sprayout rescue {batch.label}")
    if batch.catalysed == "yes":
        say("  Hardener is in: nothing is added to it any more; its data sheet tells how long it stands.")
    for line in cup_cautions(batch, shelf):
        say(f"  {line}", fg="yellow")
