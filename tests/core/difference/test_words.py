import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.difference import EQUAL, NO_STEP, RULES, words
from sprayout_core.light import NotFiniteError, ShapeError, from_lch

HOME = (50.0, -30.0, -20.0)
labs = st.tuples(st.floats(0, 120), st.floats(-120, 120), st.floats(-120, 120))
OPPOSITES = {"lighter": "darker", "cleaner": "dirtier", "deeper": "paler", "duller": "brighter", "warmer": "cooler"}
OPPOSITES |= {value: key for key, value in OPPOSITES.items()}


def said(*, light=0.0, chroma=0.0, hue=0.0, home):
    """Words for steps in L*, C* and hue angle from a colour given in those."""
    return words(from_lch(home), from_lch(np.add(home, (light, chroma, hue))))


@pytest.mark.parametrize(
    ("step", "wanted"),
    [
        ({"light": 1}, "lighter"),
        ({"light": -1}, "darker"),
        ({"chroma": 0.55}, "cleaner"),
        ({"chroma": -0.55}, "dirtier"),
        ({"light": 0.49}, NO_STEP),
        ({"light": -1, "chroma": 0.55}, "darker, deeper"),
        ({"light": 1, "chroma": -0.55}, "lighter, paler"),
        ({"hue": 2}, "warmer, toward yellow"),
        ({"hue": -2}, "cooler, toward red"),
    ],
)
def test_single_steps(step, wanted):
    if "hue" in step:  # at 20 degrees a turned hue moves b* most
        assert str(said(**step, home=(50.0, 30.0, 20.0))) == wanted
    else:
        assert str(said(**step, home=(50.0, 30.0, 0.0))) == wanted


def test_warmer_is_b_up_at_equal_or_lower_lightness():
    up = np.add(HOME, (0, 0, 1.0))
    assert "warmer" in words(HOME, up).said
    assert "warmer" in words(HOME, np.subtract(up, (3, 0, 0))).said
    assert "warmer" not in words(HOME, np.add(up, (3, 0, 0))).said
    assert "cooler" in words(HOME, np.subtract(HOME, (0, 0, 1))).said
    assert "cooler" not in words(HOME, np.subtract(HOME, (3, 0, 1))).said


@given(labs, labs)
def test_every_word_has_its_opposite_the_other_way(one, other):
    there, back = words(one, other), words(other, one)
    assert tuple(sorted(OPPOSITES[word] for word in there.said)) == tuple(sorted(back.said))


@given(labs)
def test_nothing_is_said_about_equal_colours(one):
    assert str(words(one, one)) == NO_STEP


def test_a_step_of_exactly_the_limit_counts():
    assert words((50.0, 0, 0), (50.0 + EQUAL, 0, 0)).said == ("lighter",)
    assert words((0.1 + 0.2, 0, 0), (0.8, 0, 0)).said == ("lighter",)


@pytest.mark.parametrize(
    ("hue", "up", "down"),
    [
        (45, "yellow", "red"),
        (90, "green", "red"),
        (135, "green", "yellow"),
        (225, "blue", "green"),
        (0, "yellow", "blue"),
        (315, "red", "blue"),
        (359.9, "red", "blue"),
    ],
)
def test_which_way_the_hue_went(hue, up, down):
    assert said(hue=3, home=(50.0, 40.0, hue)).toward == up
    assert said(hue=-3, home=(50.0, 40.0, hue)).toward == down


def test_a_grey_has_no_hue_to_turn():
    grey = (50.0, 0.2, 0.1)
    assert words(grey, (50.0, -1.0, 0.3)).toward == "green"
    assert words(grey, (50.0, 0.3, 1.4)).toward == "yellow"
    assert words(grey, (50.0, 0.3, 0.2)).toward == ""


def test_rules_say_each_word_once():
    assert len({rule.word for rule in RULES}) == len(RULES) == len(OPPOSITES)


def test_refusals():
    with pytest.raises(ShapeError, match="one pair at a time"):
        words(np.zeros((2, 3)), np.zeros((2, 3)))
    with pytest.raises(NotFiniteError):
        words((1, 2, np.nan), (1, 2, 3))
