from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.amount import (
    ML_PER_US_FL_OZ,
    Amount,
    Measure,
    in_grams,
    in_ml,
    masses_of,
    parse_amount,
    to_step,
    volumes_of,
)

F = Fraction


@pytest.mark.parametrize(
    ("text", "value", "measure"),
    [
        ("120 g", 120, Measure.G),
        ("80ml", 80, Measure.ML),
        ("0,5 l", F(1, 2), Measure.L),
        ("4 US fl oz", 4, Measure.US_FL_OZ),
    ],
)
def test_amounts_are_read(text, value, measure):
    assert parse_amount(text) == Amount(F(value), measure)


@pytest.mark.parametrize("text", ["120", "4 oz", "4 fl oz", "1,500 ml", "-3 g", "many", "3 cups", "0 g"])
def test_doubtful_amounts_are_refused_with_a_remedy(text):
    with pytest.raises(SprayoutError) as refused:
        parse_amount(text)
    assert refused.value.fault.remedy


# NIST Handbook 44, appendix C: a US fluid ounce is 29.57353 ml.
def test_us_fluid_ounce():
    assert float(ML_PER_US_FL_OZ) == pytest.approx(29.57353, abs=5e-6)


def test_grams_need_a_density():
    assert in_ml(Amount(F(95), Measure.G), F("0.95")) == 100
    assert in_grams(Amount(F(1), Measure.L), F("0.95")) == 950
    with pytest.raises(SprayoutError, match="density"):
        in_ml(Amount(F(95), Measure.G))


# ASTM D5201 assumes ideal mixing: 4:1:1 by volume at 0.95/1.05/0.86 g/mL, for 120 g (worked by hand).
def test_parts_by_volume_told_in_grams():
    masses = masses_of({"a": F(4), "b": F(1), "c": F(1)}, {"a": F("0.95"), "b": F("1.05"), "c": F("0.86")})
    total = sum(masses.values())
    grams = {name: float(120 * mass / total) for name, mass in masses.items()}
    assert grams == pytest.approx({"a": 79.8599, "b": 22.0665, "c": 18.0736}, abs=5e-5)


amounts = st.fractions(min_value="1/1000", max_value=5000, max_denominator=1000)


@given(st.dictionaries(st.sampled_from("abcdef"), st.tuples(amounts, amounts), min_size=1))
def test_volume_to_mass_and_back_is_the_identity(pairs):
    volumes = {name: pair[0] for name, pair in pairs.items()}
    densities = {name: pair[1] for name, pair in pairs.items()}
    assert volumes_of(masses_of(volumes, densities), densities) == volumes


@given(amounts, amounts)
def test_rounding_to_steps_is_whole_and_within_half_a_step(value, step):
    rounded = to_step(value, step)
    assert (rounded / step).denominator == 1
    assert abs(rounded - value) <= step / 2
