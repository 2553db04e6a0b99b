from fractions import Fraction

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import Span
from sprayout_core.mix.build import (
    SQUARE_FEET_PER_GALLON_MIL,
    coverage_m2_per_l,
    dry_film_um,
    gun_wet_film_um,
    laid_ml,
    passes_over_a_point,
    wet_film_um,
)

F = Fraction


# Volume balance of solids (the definition behind ISO 3233 and ASTM D2697), worked by hand.
def test_wet_and_dry_film():
    assert dry_film_um(F(50), F("0.3")) == 15
    assert dry_film_um(F(50), F("0.3"), F(1)) == F("7.5")
    assert wet_film_um(F(15), F("0.3"), F("0.5")) == 75


# The spreading rate, 1000 x volume solids / film; published handbook values 20 and 6 m2/l;
# 1604 ft2/gal at 1 mil.
def test_coverage():
    assert coverage_m2_per_l(F(15), F("0.3")) == 20
    assert coverage_m2_per_l(F(100), F("0.6")) == 6
    assert float(SQUARE_FEET_PER_GALLON_MIL) == pytest.approx(1604.1667, abs=5e-5)


# Volume balance worked by hand: 0.10 x 0.15 m, 15 um, solids 0.30, 65 % landing.
def test_what_a_panel_takes_for_one_coat():
    need = laid_ml(F("0.015"), Span.exactly(F(15)), F("0.3"), Span.exactly(F("0.65")))
    assert float(need.low) == pytest.approx(1.1538, abs=5e-5)
    assert float(need.low * F("0.95")) == pytest.approx(1.0962, abs=5e-5)


# Volume balance worked by hand: 200 ml/min, 65 % landing, a 0.25 m fan.
@pytest.mark.parametrize(
    ("speed", "overlap", "film"), [("0.4", "0.5", 43.33), ("0.4", "0.75", 86.67), ("0.3", "0.5", 57.78)]
)
def test_gun_film(speed, overlap, film):
    laid = gun_wet_film_um(F(200), Span.exactly(F("0.65")), F(speed), F("0.25"), F(overlap))
    assert float(laid.low) == pytest.approx(film, abs=5e-3)


def test_three_quarters_overlap_doubles_the_film_of_a_half():
    assert passes_over_a_point(F("0.75")) == 2 * passes_over_a_point(F("0.5"))


def test_the_share_that_lands_stays_a_range():
    laid = gun_wet_film_um(F(200), Span(F("0.5"), F("0.65")), F("0.4"), F("0.25"), F("0.5"))
    assert laid.low < laid.high
    need = laid_ml(F(1), Span(F(10), F(12)), F("0.3"), Span(F("0.2"), F("0.5")))
    assert (need.low, need.high) == (F(10) / F("0.3") / F("0.5"), F(12) / F("0.3") / F("0.2"))


@pytest.mark.parametrize("overlap", [F(1), F(2), F(-1)])
def test_overlap_out_of_bounds_is_refused(overlap):
    with pytest.raises(SprayoutError, match="overlap"):
        passes_over_a_point(overlap)


def test_floats_percentages_and_backward_ranges_are_refused():
    with pytest.raises(SprayoutError, match="not exact"):
        dry_film_um(50.0, F("0.3"))
    with pytest.raises(SprayoutError, match="more than the whole"):
        dry_film_um(F(50), F(30))
    with pytest.raises(SprayoutError, match="smaller end first"):
        Span(F(2), F(1))
