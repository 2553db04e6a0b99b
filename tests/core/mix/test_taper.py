from fractions import Fraction
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.taper import Taper, calibrated, water_g_per_ml

F = Fraction
TAPER = Taper(F(70), F(90), F(100))


# Solid geometry (the frustum of a cone), worked by hand: equal heights for 4:1
# in a 70 to 90 mm taper pour 3.15:1.
def test_equal_heights_are_another_mix():
    poured = TAPER.equal_heights_pour({"a": F(4), "b": F(1)})
    assert float(poured["a"] / poured["b"]) == pytest.approx(3.15, abs=5e-3)


def test_straight_sides_pour_what_the_heights_say():
    poured = Taper(F(80), F(80), F(100)).equal_heights_pour({"a": F(4), "b": F(1)})
    assert poured == {"a": F(4, 5), "b": F(1, 5)}


def test_the_height_for_a_share_is_the_nearest_that_can_be_read():
    height = TAPER.height_for(F(4, 5))
    assert height > 80 and abs(TAPER.share_below(height) - F(4, 5)) < F(1, 150)
    assert (TAPER.height_for(F(0)), TAPER.height_for(F(1))) == (0, 100)


# Tanaka and others 2001, Metrologia 38: 301-309; the values at 20 and 25 degrees are
# the commonly tabulated ones.
def test_density_of_water():
    assert float(water_g_per_ml(F(20))) == pytest.approx(0.998207, abs=1e-6)
    assert float(water_g_per_ml(F(25))) == pytest.approx(0.997048, abs=1e-6)
    assert max(range(0, 41), key=lambda degc: water_g_per_ml(F(degc))) == 4
    with pytest.raises(SprayoutError, match="0 to 40"):
        water_g_per_ml(F(80))


def frustum_ml(height, bottom=70, top=90, tall=100):
    width = bottom + (top - bottom) * height / tall
    return pi * height * (bottom**2 + bottom * width + width**2) / 12 / 1000


def weighed(heights, **cup):
    density = float(water_g_per_ml(F(20)))
    return [(F(height), F(str(round(frustum_ml(height, **cup) * density, 6)))) for height in heights]


def test_a_calibrated_cup_is_exact_at_its_marks_and_honest_between():
    cup = calibrated("paper cup", weighed([20, 40, 60, 80, 100]))
    at_mark = cup.volume_at(F(60))
    assert at_mark.low == at_mark.high
    assert float(at_mark.low) == pytest.approx(frustum_ml(60), abs=1e-3)
    between = cup.volume_at(F(70))
    assert float(between.low) - 1e-3 <= frustum_ml(70) <= float(between.high) + 1e-3
    assert 0 < between.high - between.low < F("0.02") * between.high


@given(st.integers(50, 90), st.integers(50, 110), st.integers(0, 100))
def test_the_range_between_marks_holds_the_truth(bottom, top, height):
    cup = calibrated("cup", weighed([25, 50, 75, 100], bottom=bottom, top=top))
    span = cup.volume_at(F(height))
    truth = frustum_ml(height, bottom=bottom, top=top)
    assert float(span.low) - 2e-3 <= truth <= float(span.high) + 2e-3


def test_filling_uses_marks_only():
    cup = calibrated("cup", [(F(10), F("99.8207")), (F(19), F("199.6414")), (F(27), F("299.4621"))])
    parts = {"a": F(2), "b": F(1)}
    assert cup.mark_totals(parts, F(1, 100)) == (27,)
    assert cup.fill(parts, F(27), F(1, 100)) == {"a": 19, "b": 27}
    near = {"a": F(65), "b": F(35)}
    assert cup.mark_totals(near, F(1, 100)) == () and cup.mark_totals(near, F(1, 20)) == (27,)
    with pytest.raises(SprayoutError, match="do not end at marks"):
        cup.fill(parts, F(19), F(1, 100))


def test_what_was_not_weighed_is_not_known():
    with pytest.raises(SprayoutError, match="outside its marks"):
        calibrated("cup", [(F(10), F(100))]).volume_at(F(11))
    with pytest.raises(SprayoutError, match="only one mark"):
        calibrated("cup", [(F(10), F(100))]).volume_at(F(5))
    with pytest.raises(SprayoutError, match="does not rise"):
        calibrated("cup", [(F(10), F(100)), (F(20), F(90))])
    with pytest.raises(SprayoutError, match="no mark"):
        calibrated("cup", [])
