import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.light import Colour, View, white
from sprayout_core.reading import FLOP_FORMULA, Angle, FlopError, flop, flop_index

WHITE = white(View(), np.arange(400.0, 701.0, 10.0))


# values from memory of the formula (Alman 1987), computed independently
@pytest.mark.parametrize(
    ("l15", "l45", "l110", "wanted"),
    [(110, 55, 25, 11.8767), (120, 60, 30, 11.7423), (130, 70, 40, 10.2844), (100, 50, 25, 11.2190),
     (95, 48, 20, 11.6199), (50, 50, 50, 0)],
)  # fmt: skip
def test_known_values(l15, l45, l110, wanted):
    assert flop_index(l15, l45, l110) == pytest.approx(wanted, abs=1e-4)


def test_arrays():
    assert flop_index([110, 120], 55, [25, 30]).shape == (2,)


@given(st.floats(1, 60), st.floats(0, 80), st.floats(20, 90))
def test_more_fall_is_more_flop(fall, more, middle):
    assert flop_index(40 + fall + more, middle, 40) >= flop_index(40 + fall, middle, 40)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ((20, 50, 30), "darker at 45as15"),
        ((100, 0, 20), "zero or less"),
        ((100, -3, 20), "zero or less"),
        ((np.nan, 50, 20), "not a number"),
    ],
)
def test_where_it_has_no_meaning_it_is_refused(values, said):
    with pytest.raises(FlopError, match=said):
        flop_index(*values)


def reading(view=None, lightness=(110.0, 55.0, 25.0)):
    return {
        Angle(45, away): Colour(np.array([light, 0.0, 0.0]), view or View(), WHITE)
        for away, light in zip((15, 45, 110), lightness, strict=True)
    }


def test_the_formula_is_stored_with_the_value():
    found = flop(reading())
    assert found.value == pytest.approx(11.8767, abs=1e-4)
    assert found.formula == FLOP_FORMULA
    assert str(found) == "flop index 11.88 (alman-1987)"


def test_other_angles_and_views_are_refused():
    missing = reading()
    del missing[Angle(45, 110)]
    missing[Angle(45, 75)] = reading()[Angle(45, 45)]
    with pytest.raises(FlopError, match="45as110"):
        flop(missing)
    with pytest.raises(FlopError, match="A/10"):
        flop(reading(View("A")))
