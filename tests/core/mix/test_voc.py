from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.voc import G_PER_L_IN_LB_PER_GAL, Coating, voc_as_applied, voc_from_masses

F = Fraction


# Published worked example for ASTM D3960 / EPA Method 24: 33.2 lb of solvent in 100 gal
# with 62.4 gal of water.
def test_published_example_by_volume_of_water():
    found = voc_from_masses(F("33.2"), F(100), water_volume=F("62.4"))
    assert float(found.actual) == pytest.approx(0.332, abs=5e-5)
    assert float(found.less_water_and_exempt) == pytest.approx(0.8830, abs=5e-5)
    assert float(F("33.2") / F("33.06")) == pytest.approx(1.0042, abs=5e-5)


# Published worked example for ASTM D3960 / EPA Method 24: 8.52 lb/gal, 53.0 % water,
# 20.8 % solids, water 8.33 lb/gal.
def test_published_example_by_mass_of_water():
    pounds = F("8.52")
    water = pounds * F("0.53")
    found = voc_from_masses(pounds * (1 - F("0.208")), F(1), water=water, water_volume=water / F("8.33"))
    assert float(found.actual) == pytest.approx(2.2322, abs=5e-5)
    assert float(found.less_water_and_exempt) == pytest.approx(4.8748, abs=5e-5)


# Defined by the international pound and the US gallon of 231 cubic inches.
def test_pounds_per_gallon():
    assert float(G_PER_L_IN_LB_PER_GAL) == pytest.approx(119.8264, abs=5e-5)


# Worked by hand: density 0.95, solids 0.30, exempt 0.20 by mass at 0.79 g/ml.
def test_exempt_compounds():
    found = voc_as_applied([(F(100), Coating(F("0.95"), F("0.3"), exempt=F("0.2"), exempt_g_per_ml=F("0.79")))])
    assert found.actual == 475
    assert float(found.less_water_and_exempt) == pytest.approx(625.417, abs=5e-4)
    assert any("exempt volume 24.05" in line for line in found.inputs)


def test_reducer_counts_as_applied():
    base, reducer = Coating(F(1), F("0.5")), Coating(F("0.8"), F(0))
    assert voc_as_applied([(F(100), base)]).actual == 500
    assert voc_as_applied([(F(100), base), (F(50), reducer)]).actual == 600


@pytest.mark.parametrize(
    "coating",
    [
        Coating(F(1), F("0.8"), water=F("0.3")),
        Coating(F(1), F("0.5"), exempt=F("0.1")),
        Coating(F(0), F("0.5")),
    ],
)
def test_impossible_inputs_are_refused(coating):
    with pytest.raises(SprayoutError):
        voc_as_applied([(F(1), coating)])


def test_shares_above_the_whole_are_named():
    coating = Coating(F(1), F("0.8"), water=F("0.3"))
    with pytest.raises(SprayoutError, match=r"add up to 1\.1"):
        voc_as_applied([(F(1), coating)])


@given(
    st.fractions("1/10", 2, max_denominator=50),
    st.fractions(0, "9/10", max_denominator=50),
    st.integers(1, 900),
)
def test_without_water_and_exempt_both_figures_agree_whatever_the_amount(density, solids, ml):
    found = voc_as_applied([(F(ml), Coating(density, solids))])
    assert found.actual == found.less_water_and_exempt == 1000 * density * (1 - solids)
