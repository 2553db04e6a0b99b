"""Portions: exact in both measures, linear, and the same mix however it is poured."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.library.today.shelf_of_documents import Shelf

from sprayout_core.documents import OpenSlot
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, Measure, NeedsDensity, as_sprayed, composition
from sprayout_library.today.portions import Portion, density_of, portion, poured_out

PARTS = st.lists(st.integers(1, 60), min_size=1, max_size=5)
DENSITIES = st.lists(
    st.fractions(Fraction(6, 10), Fraction(2), max_denominator=100).map(lambda f: round(f, 2)), min_size=5, max_size=5
)
AMOUNTS = st.fractions(Fraction(1, 10), Fraction(5000), max_denominator=1000)


def shelf_with(parts, densities, basis="volume"):
    shelf = Shelf()
    materials = [
        shelf.material(f"m{place}", density) for place, (_, density) in enumerate(zip(parts, densities, strict=False))
    ]
    formula = shelf.mix("Reed", list(zip(materials, parts, strict=True)), basis)
    return shelf, formula


@given(PARTS, DENSITIES, AMOUNTS, st.sampled_from(["volume", "mass"]), st.sampled_from([Measure.ML, Measure.G]))
def test_a_portion_sums_to_what_was_asked_and_holds_the_mix(parts, densities, amount, basis, measure):
    shelf, formula = shelf_with(parts, densities, basis)
    made = portion(formula, shelf.get, Amount(amount, measure))
    assert (made.total_ml if measure is Measure.ML else made.total_g) == amount
    own = {line.key: line.ml if basis == "volume" else line.g for line in made.lines}
    whole = sum(own.values())
    assert {key: value / whole for key, value in own.items()} == composition(formula, shelf.get)


@given(PARTS, DENSITIES, AMOUNTS, st.integers(2, 9))
def test_scaling_is_linear(parts, densities, amount, times):
    shelf, formula = shelf_with(parts, densities)
    once = portion(formula, shelf.get, Amount(amount, Measure.G))
    more = portion(formula, shelf.get, Amount(amount * times, Measure.G))
    assert [(line.ml * times, line.g * times) for line in once.lines] == [(line.ml, line.g) for line in more.lines]


@given(PARTS, DENSITIES, AMOUNTS)
def test_volume_to_mass_and_back_is_the_identity(parts, densities, amount):
    shelf, formula = shelf_with(parts, densities)
    by_volume = portion(formula, shelf.get, Amount(amount, Measure.ML))
    back = portion(formula, shelf.get, Amount(by_volume.total_g, Measure.G))
    assert back == by_volume
    assert by_volume.total_g == amount * density_of(formula, shelf.get)


@pytest.mark.parametrize("of", ["mix", "whole"])
@given(parts=PARTS, densities=DENSITIES, share=st.integers(1, 60))
def test_a_reducer_is_what_the_gun_gets(of, parts, densities, share):
    shelf, _ = shelf_with(parts, densities)
    thinner = shelf.material("thinner", Fraction("0.8"), "reducer")
    ready = {"gun": {"reduce": {"of": of, "parts": f"0.{share:02d}".rstrip("0"), "material": thinner.id}}}
    materials = [one for one in shelf.values() if one.kind == "material" and one is not thinner]
    formula = shelf.mix("Reed", list(zip(materials, parts, strict=True)), spray_ready=ready)
    made = portion(formula, shelf.get, Amount(Fraction(250), Measure.ML), "gun")
    assert {line.key: line.ml / 250 for line in made.lines} == as_sprayed(formula, shelf.get, "gun")
    assert made.lines[-1].added == "reducer"


def test_a_mix_in_a_mix_is_the_same_poured_from_its_materials():
    shelf = Shelf()
    weak, strong, carrier = (
        shelf.material("weak", "0.9"),
        shelf.material("strong", "1.2"),
        shelf.material("carrier", "1"),
    )
    inner = shelf.mix("Reed", [(weak, 5), (strong, 2)])
    outer = shelf.mix("Reed bodied", [(carrier, 9), (inner, 2), (weak, 1)])
    whole = poured_out(portion(outer, shelf.get, Amount(Fraction(120), Measure.ML)), shelf.get)
    assert {line.key: line.ml / 120 for line in whole.lines} == composition(outer, shelf.get)
    assert [line.key for line in whole.lines] == [carrier.id, weak.id, strong.id], "in pouring order"


def test_dry_pearl_goes_on_top_of_the_liquid():
    shelf = Shelf()
    carrier, pearl = shelf.material("carrier"), shelf.material("pearl", role="pearl")
    formula = shelf.mix("Shimmer", [(carrier, 1)], dry=[(pearl, 20)])
    made = portion(formula, shelf.get, Amount(Fraction(150), Measure.ML))
    assert made.total_ml == 150
    assert [(line.ml, line.g, line.dry) for line in made.lines] == [(150, None, ""), (None, 3, "dry")]


def test_grams_without_a_density_are_refused_by_name():
    shelf, formula = shelf_with([5, 2], [Fraction(1)] * 5)
    lacking = shelf.material("fen violet")
    other = shelf.mix("Fen", [(formula, 1), (lacking, 1)])
    with pytest.raises(NeedsDensity, match="density of fen violet"):
        portion(other, shelf.get, Amount(Fraction(10), Measure.G))
    assert portion(other, shelf.get, Amount(Fraction(10), Measure.ML)).total_g is None


def test_an_open_slot_has_no_portion():
    shelf = Shelf()
    carrier = shelf.material("carrier")
    items = {carrier.id: {"kind": "material", "ratio": 4}, "slot.dye": {"kind": "slot", "ratio": 1}}
    house = shelf._keep("formula", {"title": "House", "mix": {"basis": "volume", "items": items}})
    with pytest.raises(OpenSlot):
        portion(house, shelf.get, Amount(Fraction(10), Measure.ML))


def test_a_reducer_without_a_name_cannot_be_poured():
    shelf = Shelf()
    formula = shelf.mix(
        "Reed", [(shelf.material("weak"), 1)], spray_ready={"gun": {"reduce": {"of": "mix", "parts": "0.05"}}}
    )
    with pytest.raises(SprayoutError, match="no reducer is named"):
        portion(formula, shelf.get, Amount(Fraction(10), Measure.ML), "gun")


def test_totals_are_not_told_where_a_part_is_not_known():
    assert Portion((), "volume").total_ml == 0
