from fractions import Fraction

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.amount import Amount, Measure
from sprayout_core.mix.cost import Price, cost_of

F = Fraction
PRICES = {
    "dye": Price(F("31.5"), "EUR", Amount(F(250), Measure.ML)),
    "carrier": Price(F(18), "EUR", Amount(F(1), Measure.L)),
    "pearl": Price(F(9), "EUR", Amount(F(25), Measure.G)),
}


def ml(value):
    return Amount(F(value), Measure.ML)


def test_cost_is_exact_and_names_what_has_no_price():
    found = cost_of({"dye": ml(20), "carrier": ml(90), "reducer": ml(5)}, PRICES)
    assert found.items == {"dye": F("2.52"), "carrier": F("1.62")}
    assert (found.total, found.currency, found.unpriced) == (F("4.14"), "EUR", ("reducer",))


def test_mass_and_volume_meet_over_the_density():
    assert cost_of({"pearl": ml(10)}, PRICES, {"pearl": F("2.5")}).total == 9
    assert cost_of({"dye": Amount(F(20), Measure.G)}, PRICES, {"dye": F("0.8")}).total == F("3.15")
    with pytest.raises(SprayoutError, match="priced by mass"):
        cost_of({"pearl": ml(10)}, PRICES)
    with pytest.raises(SprayoutError, match="priced by volume"):
        cost_of({"dye": Amount(F(20), Measure.G)}, PRICES)


def test_currencies_do_not_mix():
    prices = {**PRICES, "pearl": Price(F(9), "CHF", Amount(F(25), Measure.G))}
    with pytest.raises(SprayoutError, match="CHF and EUR"):
        cost_of({"dye": ml(1), "pearl": Amount(F(1), Measure.G)}, prices)


def test_nothing_priced_costs_nothing_known():
    assert cost_of({"reducer": ml(5)}, PRICES).unpriced == ("reducer",)
