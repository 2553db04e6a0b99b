import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sprayout_core.difference import Weights, WeightsError, ciede2000
from sprayout_core.light import NotFiniteError, ShapeError, from_lch

lightness, coordinate = st.floats(0, 120), st.floats(-120, 120)
labs = st.tuples(lightness, coordinate, coordinate)


def textbook(standard, trial):
    """The published equations, step by step in degrees, with exactly opposed hues not more than 180 apart."""
    (l1, a1, b1), (l2, a2, b2) = standard, trial
    mean = ((math.hypot(a1, b1) + math.hypot(a2, b2)) / 2) ** 7
    g = 0.5 * (1 - math.sqrt(mean / (mean + 25**7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    apart, total, neutral = h2 - h1, h1 + h2, c1 * c2 == 0
    if abs(apart) > 180 + 1e-9:
        apart -= math.copysign(360, apart)
        hue = (total + 360) / 2 if total < 360 else (total - 360) / 2
    else:
        hue = total / 2
    if neutral:
        apart, hue = 0, (0 if c1 == 0 else h1) + (0 if c2 == 0 else h2)
    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * math.cos(math.radians(hue - 30))
        + 0.24 * math.cos(math.radians(2 * hue))
        + 0.32 * math.cos(math.radians(3 * hue + 6))
        - 0.20 * math.cos(math.radians(4 * hue - 63))
    )
    turn = 30 * math.exp(-(((hue - 275) / 25) ** 2))
    rotation = -2 * math.sqrt(chroma**7 / (chroma**7 + 25**7)) * math.sin(math.radians(2 * turn))
    dl = (l2 - l1) / (1 + 0.015 * (light - 50) ** 2 / math.sqrt(20 + (light - 50) ** 2))
    dc = (c2 - c1) / (1 + 0.045 * chroma)
    dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(apart / 2)) / (1 + 0.015 * chroma * t)
    return math.sqrt(dl**2 + dc**2 + dh**2 + rotation * dc * dh)


@given(labs, labs)
def test_symmetric(one, other):
    assert ciede2000(one, other) == pytest.approx(ciede2000(other, one), abs=1e-9)


@given(labs, labs)
def test_zero_only_for_equal_colours(one, other):
    assert ciede2000(one, one) == 0.0
    assume(math.dist(one, other) > 1e-6)
    assert ciede2000(one, other) > 0.0


@given(labs)
def test_one_neutral_colour(one):
    for neutral in ((50.0, 0.0, 0.0), (50.0, -0.0, -0.0)):
        assert ciede2000(neutral, one) == pytest.approx(textbook((50.0, 0.0, 0.0), one), abs=1e-9)


@given(lightness, st.floats(0.001, 120), st.floats(0, 360), st.floats(-1, 1))
def test_exactly_opposed_hues_stay_on_the_published_branch(light, chroma, hue, step):
    _, a, b = from_lch((light, chroma, hue)).tolist()
    pair = (light, a, b), (light + step, -a, -b)
    assert ciede2000(*pair) == pytest.approx(textbook(*pair), abs=1e-9)


@given(lightness, st.floats(1, 120), st.floats(5, 120), st.floats(-30, 30))
def test_continuous_across_hue_0(light, chroma, other, hue):
    trial = from_lch((light, other, hue))
    below, above = (ciede2000(from_lch((light, chroma, turn)), trial) for turn in (360 - 1e-7, 1e-7))
    # the equation itself has a step of up to 30 exp(-11.6) degrees of rotation where the mean hue passes 0
    assert below == pytest.approx(above, abs=1e-3)


@given(lightness, labs, st.floats(0, 2 * math.pi))
def test_continuous_near_neutral(light, trial, turn):
    near = (light, 1e-10 * math.cos(turn), 1e-10 * math.sin(turn))
    assert ciede2000(near, trial) == pytest.approx(ciede2000((light, 0, 0), trial), abs=1e-3)


def test_larger_weights_make_smaller_differences():
    standard, trial = (50, 20, 20), (52, 22, 17)
    plain = ciede2000(standard, trial)
    assert ciede2000(standard, trial, Weights()) == plain
    for loose in (Weights(lightness=2), Weights(chroma=2), Weights(hue=2)):
        assert ciede2000(standard, trial, loose) < plain


@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_weights_that_are_none(value):
    with pytest.raises(WeightsError, match="chroma"):
        Weights(chroma=value)


def test_broadcasting_and_blocks():
    random = np.random.default_rng(5)
    standard, trial = random.uniform(0, 80, (20000, 3)), random.uniform(0, 80, (20000, 3))
    whole = ciede2000(standard, trial)
    np.testing.assert_allclose(
        whole[8190:8195],
        [ciede2000(s, t) for s, t in zip(standard[8190:8195], trial[8190:8195], strict=True)],
        atol=1e-12,
    )
    assert ciede2000(standard[:6].reshape(2, 3, 3), trial[0]).shape == (2, 3)
    assert ciede2000(standard[:2, np.newaxis], trial[:4]).shape == (2, 4)
    assert ciede2000((50, 1, 2), (50, 1, 2)).shape == ()


def test_refusals():
    with pytest.raises(NotFiniteError, match="far outside"):
        ciede2000((50, 1e80, 0), (50, 0, 0))
    with pytest.raises(ShapeError, match="cannot be paired"):
        ciede2000(np.zeros((2, 3)), np.zeros((4, 3)))
    with pytest.raises(ShapeError):
        ciede2000((1, 2), (1, 2))
    for bad in (np.nan, np.inf, -np.inf):
        for place in range(3):
            trial = np.full((5, 3), 50.0)
            trial[3, place] = bad
            with pytest.raises(NotFiniteError, match="trial"):
                ciede2000(np.full(3, 40.0), trial)
