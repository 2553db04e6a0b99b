import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.film import clear_layer, hazy_layer, inner_to_cleared


@given(st.floats(0, 1), st.floats(0, 3), st.sampled_from(["45:0", "di:8", "de:8"]))
def test_without_haze_it_is_nearly_the_clear_layer(inner, tau, geometry):
    ground = inner_to_cleared(inner, geometry)
    assert hazy_layer(ground, tau, 0.0, geometry) == pytest.approx(clear_layer(ground, tau, geometry), abs=0.012)


@given(st.floats(0, 1), st.floats(0, 8), st.floats(0, 8), st.floats(0, 1))
def test_haze_keeps_within_what_light_there_is(inner, absorbed, scattered, trapping):
    ground = inner_to_cleared(inner, "di:8", trapping=trapping)
    reading = hazy_layer(ground, absorbed, scattered, "di:8", trapping=trapping)
    assert 0 <= reading <= max(1.0, float(ground)) + 1e-6


def test_limits_are_numbers():
    many = np.meshgrid([0.05, 0.9, 3.0], [0, 1e-12, 1, 1e4], [0, 1e-12, 1, 1e4], [0.0, 0.1, 1.0])
    ground, absorbed, scattered, trap = many
    for geometry in ("45:0", "di:8", "45as15"):
        assert np.isfinite(hazy_layer(ground, absorbed, scattered, geometry, trapping=trap)).all()
    assert hazy_layer(0.4, 0.0, 0.0, "45:0") == pytest.approx(0.4)


def test_white_haze_hides_black_and_white_alike():
    ground = inner_to_cleared([0.04, 0.86], "45:0")
    thin, thick = hazy_layer(ground, 0.01, 0.3, "45:0"), hazy_layer(ground, 0.5, 30.0, "45:0")
    assert thin[0] < 0.5 * thin[1]
    assert thick[0] == pytest.approx(thick[1], rel=1e-3)


def test_pearl_mix_stays_far_darker_over_black_than_over_white():
    """Common practice, no source: at two coats its hiding is well below 1."""
    ground = inner_to_cleared([0.04, 0.86], "45:0")
    two = hazy_layer(ground, 2 * 0.15, 2 * 0.12, "45:0")
    assert two[0] / two[1] < 0.6


def test_more_dye_against_pearl_lowers_hiding_and_raises_chroma(layers, eye):
    """Common practice, no source."""
    dye, pearl = layers.band(610, 50, 0.7), 0.4 * np.ones(31)
    ground = inner_to_cleared(np.array([0.04, 0.86])[:, None] * np.ones(31), "45:0")
    hiding, chroma = [], []
    for share in (0.1, 0.25, 0.5, 0.75):
        black, white = hazy_layer(ground, 2 * share * dye, 2 * (1 - share) * pearl, "45:0")
        hiding.append((black @ eye.matrix[:, 1]) / (white @ eye.matrix[:, 1]))
        chroma.append(np.hypot(*eye.lab(white)[1:]))
    assert (np.diff(hiding) < 0).all()
    assert (np.diff(chroma) > 0).all()


def test_pearl_over_a_keyed_ground_settles_sooner_than_dye_over_silver(layers, difference):
    """Common practice, no source: a pearl mix over a solid keyed ground settles in fewer coats."""
    dye = layers.band(610, 50, 0.6)
    keyed = hazy_layer(np.full(31, 0.3), 8 * dye, np.full(31, 8 * 0.4), "45:0")
    coats = np.arange(9)[:, None]
    mix = hazy_layer(keyed, coats * 0.4 * dye, coats * np.full(31, 0.4), "45:0")
    silver = clear_layer(np.full(31, 0.6), coats * dye, "45:0", trapping=0.1)

    def settled(steps):
        return int(np.argmax(np.append(difference(steps[:-1], steps[1:]) < 1.0, True)))

    assert settled(mix) < settled(silver)


def test_keyed_ground_moves_less_per_coat_than_silver(layers, difference):
    """Common practice, no source."""
    dye = layers.band(610, 50, 0.6)
    silver = np.full(31, 0.6)
    keyed = clear_layer(silver, 2 * dye, "45:0")
    for coats in range(1, 5):
        over_keyed = [clear_layer(keyed, n * dye, "45:0") for n in (coats, coats + 1)]
        over_silver = [clear_layer(silver, n * dye, "45:0", trapping=0.1) for n in (coats, coats + 1)]
        assert difference(*over_keyed) < difference(*over_silver)


def test_weak_to_strong_ladder_grows_lighter_and_moves_late(eye, difference, layers):
    """Common practice, no source.

    From the strong dye alone through 1:1, 2:1, 4:1 of weak to strong, lightness rises steadily, and the shift at
    1:1 is under half of that at 4:1.
    """
    strong, weak = layers.band(610, 60, 2.2, 0.02), layers.band(600, 60, 0.25, 0.005)
    ground = np.full(31, 0.6)
    shares = np.array([0, 1 / 2, 2 / 3, 4 / 5])[:, None]
    ladder = clear_layer(ground, 3 * (shares * weak + (1 - shares) * strong), "45:0", trapping=0.1)
    assert (np.diff(eye.lab(ladder)[:, 0]) > 0).all()
    shift = difference(ladder[0], ladder[1:])
    assert shift[0] < 0.5 * shift[2]
