"""sprayout cup: which cup is this, what is in it, what is left; take out of it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.bench_words import amount_in, rounded
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Batch
    from sprayout_library.record import Names
    from sprayout_library.record.cups import Shelf
    from sprayout_library.store import Store


@click.command("cup")
@click.argument("code", required=False)
@click.option("--take", metavar="AMOUNT", help='Take this much out of it, or "rest" for all that is left.')
@click.option("--into", metavar="WORDS", help="What it was taken out for: sprayed, waste, a jar.")
@click.option("--for", "wanted", metavar="MIX", help="Is this the right cup for MIX? Tells what taking it would do.")
@click.option("--through", metavar="VARIANT", help="With --for: made ready for this gun.")
@click.option(
    "--pot-life", type=click.IntRange(1, 100_000), metavar="MIN", help="What its data sheet says, in minutes."
)
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, code: str | None, take: str | None, into: str | None, wanted: str | None, through: str | None,
    pot_life: int | None, form: str | None,
) -> None:  # fmt: skip
    """Tell the cups that are not empty; with the CODE on a label, or what its square says, that one cup."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.cups import Shelf

    if code is not None and take is not None:
        say(desk.again(lambda store: _taken(desk, store, code, take, into or "")))
        return
    with desk.store() as store:
        names = desk.names(store)
        shelf = Shelf(store)
        if code is None:
            if take or into or wanted or through or pot_life:
                raise SprayoutError("which cup?", "Name it by the code on its label.")
            _list(shelf, names, form)
            return
        batch = found_cup(code, store, names, shelf)
        if into:
            raise SprayoutError("how much was taken?", "Give --take AMOUNT, or --take rest.")
        if wanted:
            _check(desk, store, shelf, batch, wanted, through)
            return
        _tell(shelf, names, batch, pot_life, form)


def found_cup(code: str, store: Store, names: Names, shelf: Shelf) -> Batch:
    """Return the cup of a label code, or of what its square says. Raises SprayoutError for what is no cup."""
    from sprayout_core.documents import Batch
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import kind_said
    from sprayout_library.today.scanned import is_code, scanned

    if is_code(code):
        document = scanned(code, store).now
        if not isinstance(document, Batch):
            raise SprayoutError(
                f"this is the code of a {kind_said(document.kind)}, {document.name}", "See sprayout scan."
            )
        identity = document.id
    else:
        identity = names.find(code, "batch").id
    batch = shelf.batches.get(identity)
    if batch is None:
        raise SprayoutError(f"{names.label(identity)} was taken out of use", "See sprayout withdraw --bring-back.")
    return batch


def _list(shelf: Shelf, names: Names, form: str | None) -> None:
    from sprayout_core.errors import SprayoutError

    table, data = [], []
    for key, batch in sorted(shelf.batches.items(), key=lambda pair: pair[1].poured_at or "", reverse=True):
        try:
            left, unit, wrong = shelf.left(key), shelf.unit(key), ""
        except SprayoutError as error:
            left, unit, wrong = None, "", error.fault.problem
        told = None if left is None else str(left)
        data.append({"label": batch.label, "id": key, "formula": batch.formula, "left": told, "unit": unit,
                     "hardener": batch.catalysed, "wrong": wrong})  # fmt: skip
        if left != 0:
            hardener = "hardener in" if batch.catalysed == "yes" else ""
            amount = wrong if left is None else f"{rounded(left, 2)} {unit} left"
            table.append((batch.label or f"…{key[-6:]}", names.label(batch.formula), amount, hardener))
    if form == "json":
        json_out(data)
        return
    rows(table)
    if not table:
        say("No cup on the bench." if not shelf.batches else "Every cup is empty.")
        soft("Next: sprayout pour MIX AMOUNT")


def _tell(shelf: Shelf, names: Names, batch: Batch, pot_life: int | None, form: str | None) -> None:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.cups import catalysed
    from sprayout_library.today.cautions import cup_cautions

    left, unit = shelf.left(batch.id), shelf.unit(batch.id)
    held = shelf.contents(batch.id)
    if form == "json":
        json_out({"label": batch.label, "id": batch.id, "formula": batch.formula, "spray_ready": batch.spray_ready,
                  "unit": unit, "poured": str(shelf.poured(batch.id)), "left": str(left),
                  "contents": {key: str(amount) for key, amount in held.items()},
                  "hardener": "yes" if catalysed(batch, shelf) else "no",
                  "cautions": cup_cautions(batch, shelf)})  # fmt: skip
        return
    ready = f", ready for {batch.spray_ready}" if batch.spray_ready else ""
    say(f"{batch.label}: {names.label(batch.formula)}{ready}", bold=True)
    rows([("left", f"{rounded(left, 2)} {unit} of {rounded(shelf.poured(batch.id), 2)} {unit} poured")])
    heading("What is in it")
    whole = sum(held.values())
    lots = {one.id: one.lot for one in batch.poured if one.lot}
    rows([(names.label(key), f"{rounded(amount, 2)} {unit}", f"{rounded(100 * amount / whole, 2)} %",
           f"lot {lots[key]}" if key in lots else "") for key, amount in held.items()])  # fmt: skip
    try:
        off = shelf.off(batch)
    except SprayoutError as error:
        say(f"  {error.fault.problem}.")
    else:
        if off and abs(off[1]) * 1000 >= 1:
            much = "too much" if off[1] > 0 else "too little"
            say(f"  Furthest from the mix: {names.label(off[0])}, {rounded(abs(off[1]) * 100)} % {much}.")
    if standing := _standing(batch, pot_life):
        say(f"  {standing}")
    for line in cup_cautions(batch, shelf):
        say(f"  {line}", fg="yellow")


def _standing(batch: Batch, pot_life: int | None) -> str:
    """Return how long hardener has been in, beside what the data sheet says where it was told; no alarm, no advice."""
    from sprayout_core.mix import Action, Deed, PotLife, standing

    if batch.catalysed != "yes" or batch.poured_at is None:
        return ""
    at = datetime.fromisoformat(batch.poured_at.upper().replace("Z", "+00:00"))
    sheet = PotLife(pot_life, None, "as told") if pot_life else None
    now = datetime.now(UTC)
    if at > now:
        return "Hardener went in at a time that lies ahead of this clock."
    return standing([Action(at, Deed.HARDENER_IN)], now, sheet).sentence


def _taken(desk: Desk, store: Store, code: str, amount: str, into: str) -> str:
    """Take out of a cup and return what is left, in words."""
    from sprayout_library.record import now_text
    from sprayout_library.record.batches import take_out
    from sprayout_library.record.cups import Shelf

    shelf = Shelf(store)
    batch, writer = found_cup(code, store, desk.names(store), shelf), desk.writer(store)
    wanted = None if amount.strip().lower() == "rest" else amount_in(amount)
    change = take_out(shelf, batch, wanted, into, now_text(writer.clock()))
    writer.save([writer.edited(batch, [change])], f"Taken out of {batch.label}")
    store.refresh()
    after = Shelf(store)
    return f"{batch.label}: {rounded(after.left(batch.id), 2)} {after.unit(batch.id)} left."


def _check(desk: Desk, store: Store, shelf: Shelf, batch: Batch, wanted: str, through: str | None) -> None:
    """Tell what taking this cup for a mix would do. A wrong cup ends with the status of a refusal."""
    from sprayout_core.documents import Formula
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.batches import check_against

    formula = desk.document(store, wanted, "formula")
    assert isinstance(formula, Formula)
    names = desk.names(store)
    check = check_against(shelf, batch, formula, store.find, through)
    if batch.formula == formula.id and batch.spray_ready == through:
        off = shelf.off(batch)
        told = "" if off is None else f" Furthest from it: {names.label(off[0])}, {rounded(abs(off[1]) * 100)} % off."
        say(f"{batch.label} is {formula.name}.{told}")
        return
    others = ", ".join(names.label(key) for key in check.other)
    raise SprayoutError(
        f"{batch.label} is {names.label(batch.formula)}, not {formula.name}",
        f"{check.sentence or 'It holds the same mix.'}"
        + (f" {counted(len(check.other), 'material')} in one of the two only: {others}." if others else ""),
    )
