"""sprayout cost: what a mix costs by the shop's own prices; what has no price is named."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import Any

import click

from sprayout_library.cli.bench_words import amount_in, named, rounded
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import rows, say, soft

_PRICE = re.compile(r"(?P<money>[0-9]+(?:[.,][0-9]{1,4})?)\s*(?P<currency>[A-Z]{3})\s+(?:for|per)\s+(?P<buys>.+)")


@click.command("cost")
@click.argument("mix", required=False)
@click.argument("amount", required=False)
@click.option("--through", metavar="VARIANT", help="With the reducer for this gun.")
@click.option(
    "--price", multiple=True, metavar="WORDS", help='Record a price: "weak teal=32 EUR for 500 ml"; repeat it.'
)
@click.pass_obj
def command(desk: Desk, /, mix: str | None, amount: str | None, through: str | None, price: tuple[str, ...]) -> None:
    """What AMOUNT of MIX costs. Prices stay on this machine and are never shared."""
    from sprayout_core.errors import SprayoutError

    with desk.store() as store:
        names = desk.names(store)
        if price:
            _keep([_priced(words, names) for words in price])
            say(f"{len(price)} price{'' if len(price) == 1 else 's'} recorded on this machine.")
        if mix is None:
            if not price:
                raise SprayoutError("what of what?", 'Write: sprayout cost "Kelp glass" 200ml.')
            return
        if amount is None:
            raise SprayoutError("how much of it?", f'Write: sprayout cost "{mix}" 200ml.')
        _tell(desk, store, mix, amount, through)


def _priced(words: str, names: Any) -> tuple[str, dict[str, str]]:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.ratio import decimal_text, exact

    name, text = named(words, "what costs how much")
    match = _PRICE.fullmatch(text)
    if not match:
        raise SprayoutError(f"{text!r} is no price", 'Write it like "32.50 EUR for 500 ml".')
    buys = amount_in(match["buys"])
    entry = names.find(name, "material")
    return entry.id, {"money": decimal_text(exact(match["money"].replace(",", "."))), "currency": match["currency"],
                      "buys": str(buys)}  # fmt: skip


def _keep(prices: list[tuple[str, dict[str, str]]]) -> None:
    from sprayout_library.machine import shop_facts

    def put(facts: dict[str, Any]) -> None:
        facts.setdefault("prices", {}).update(dict(prices))

    shop_facts().change(put)


def _tell(desk: Desk, store: Any, mix: str, amount: str, through: str | None) -> None:
    from sprayout_core.documents import Formula
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Amount, Measure, Price, cost_of
    from sprayout_core.ratio import exact
    from sprayout_library.machine import shop_facts
    from sprayout_library.today.portions import density_of, portion, poured_out

    formula = desk.document(store, mix, "formula")
    assert isinstance(formula, Formula)
    names = desk.names(store)
    made = poured_out(portion(formula, store.find, amount_in(amount), through), store.find)
    used, densities, prices = {}, {}, {}
    kept = shop_facts().get("prices", {})
    for line in made.lines:
        name = names.label(line.key)
        used[name] = Amount(line.ml, Measure.ML) if line.ml is not None else Amount(line.g or exact("0"), Measure.G)
        with suppress(SprayoutError):  # where it is not known, cost_of says so if the price needs it
            densities[name] = density_of(store.get(line.key), store.find)
        if line.key in kept:
            one = kept[line.key]
            prices[name] = Price(exact(one["money"]), one["currency"], amount_in(one["buys"]))
    found = cost_of(used, prices, densities)
    least = "at least " if found.unpriced else ""
    money = f"{rounded(found.total, 2)} {found.currency}".strip() if found.items else "not known"
    say(f"{amount} of {formula.name}: {least if found.items else ''}{money}", bold=True)
    rows([(name, f"{rounded(one, 2)} {found.currency}") for name, one in found.items.items()])
    if found.unpriced:
        say(f"  No price for {', '.join(found.unpriced)}.")
        soft(f'  Record one: sprayout cost --price "{found.unpriced[0]}=32 EUR for 500 ml"')
