"""What a cup costs, from the shop's own prices; what has no price is named, never taken for nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.amount import Amount, Measure, in_grams, in_ml
from sprayout_core.mix.bounds import zero_or_more

__all__ = ["Cost", "Price", "cost_of"]


@dataclass(frozen=True, slots=True)
class Price:
    """What the shop pays: so much money for so much of a material."""

    money: Fraction
    currency: str
    buys: Amount


@dataclass(frozen=True, slots=True)
class Cost:
    """A cost in one currency, exact; round it only to tell it.

    unpriced  materials without a price: with any of them the total is "at least"
    """

    total: Fraction
    currency: str
    items: Mapping[str, Fraction]
    unpriced: tuple[str, ...]


def cost_of(
    used: Mapping[str, Amount],
    prices: Mapping[str, Price],
    densities_g_per_ml: Mapping[str, Fraction] | None = None,
) -> Cost:
    """Return what the amounts used cost; a price by volume for an amount by mass needs the density.

    Raises SprayoutError when prices are in several currencies.
    """
    densities = densities_g_per_ml or {}
    currencies = sorted({prices[name].currency for name in used if name in prices})
    if len(currencies) > 1:
        raise SprayoutError(
            f"prices are in {' and '.join(currencies)}", "Give them all in one currency.", place="prices"
        )
    items = {
        name: _item(amount, prices[name], densities.get(name), name) for name, amount in used.items() if name in prices
    }
    unpriced = tuple(name for name in used if name not in prices)
    return Cost(sum(items.values(), Fraction(0)), currencies[0] if currencies else "", items, unpriced)


def _item(amount: Amount, price: Price, density: Fraction | None, name: str) -> Fraction:
    money = zero_or_more(price.money, f"price of {name}")
    if price.buys.measure is Measure.G:
        return money * _told_by(name, amount, density) / price.buys.value
    if density is None and amount.measure is Measure.G:
        raise SprayoutError("it is priced by volume and used by mass", "Record its density.", place=name)
    return money * in_ml(amount, density) / in_ml(price.buys)


def _told_by(name: str, amount: Amount, density: Fraction | None) -> Fraction:
    if density is None and amount.measure is not Measure.G:
        raise SprayoutError("it is priced by mass and used by volume", "Record its density.", place=name)
    return in_grams(amount, density)
