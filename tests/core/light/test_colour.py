import numpy as np
import pytest

from sprayout_core.light import (
    Colour,
    Conditions,
    View,
    ViewMismatchError,
    adapted,
    adapted_lab,
    colour,
    comparable,
    lab,
    light_from_table,
    tristimulus,
    white,
)

NM = np.arange(400.0, 701.0, 10.0)
SPECTRUM = np.linspace(0.1, 0.7, NM.size)


def made(view=None, **said):
    return colour(SPECTRUM, NM, view, Conditions(**said))


def test_the_white_travels_with_the_colour():
    seen = made(View("A", 2))
    np.testing.assert_array_equal(seen.white, white(View("A", 2), NM))
    np.testing.assert_array_equal(seen.lab, lab(tristimulus(SPECTRUM, NM, View("A", 2)), seen.white))


@pytest.mark.parametrize(
    ("ours", "theirs", "named"),
    [
        (made(), made(View("A")), ("D65/10°", "A/10°")),
        (made(View("D65", 2)), made(View("D65", 10)), ("D65/2°", "D65/10°")),
        (made(stage="bare"), made(stage="cleared"), ("bare", "cleared")),
        (made(stage="bare"), made(), ("bare", "not said")),
        (made(geometry="45:0"), made(geometry="d:8"), ("45:0", "d:8")),
    ],
)
def test_unlike_colours_are_refused_and_both_are_named(ours, theirs, named):
    with pytest.raises(ViewMismatchError) as refused:
        comparable(ours, theirs)
    assert all(name in str(refused.value) for name in named)
    with pytest.raises(ViewMismatchError):
        comparable(theirs, ours)


def test_two_lamps_of_one_name_are_two_lamps():
    nm = np.arange(380.0, 781.0, 10.0)
    one, other = (View(light_from_table("lamp", nm, nm**k)) for k in (0, 1))
    with pytest.raises(ViewMismatchError, match="both called lamp"):
        comparable(made(one), made(other))


def test_two_printed_roundings_of_one_white_are_one_white():
    seen = made()
    rounded = Colour(seen.lab, seen.view, np.array([94.81, 100.0, 107.32]))
    comparable(seen, rounded)
    with pytest.raises(ViewMismatchError, match=r"95\.047"):
        comparable(seen, Colour(seen.lab, seen.view, np.array([95.047, 100.0, 108.883])))


def test_adaptation_takes_white_to_white_and_back():
    one, other = white(View("A"), NM), white(View("D65"), NM)
    np.testing.assert_allclose(adapted(one, one, other), other, atol=1e-9)
    there = adapted((20.0, 30.0, 10.0), one, other)
    np.testing.assert_allclose(adapted(there, other, one), (20.0, 30.0, 10.0), atol=1e-9)


def test_adapted_to_its_own_light_a_colour_is_itself():
    view = View("FL11")
    np.testing.assert_array_equal(adapted_lab(SPECTRUM, NM, view, view), colour(SPECTRUM, NM, view).lab)
