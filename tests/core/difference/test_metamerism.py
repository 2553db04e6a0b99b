import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.difference import (
    CorrectionError,
    DifferenceError,
    Quartet,
    ciede2000,
    match_in_lights,
    metamerism,
    metamerism_multiplicative,
    multiplicative,
    through_lights,
)
from sprayout_core.light import VIEWS, View, lab, tristimulus, weights, white

NM = np.arange(400.0, 701.0, 10.0)
REFERENCE, TEST = View("D65"), View("A")
TEAL = 0.15 + 0.4 * np.exp(-(((NM - 500) / 45) ** 2))


def metamer(of, view, size=0.05):
    """A spectrum with the same tristimulus values in one view, found in the null space of its weights."""
    table = weights(NM, view)
    wave = np.sin((NM - 400) / 25.0)
    wave -= table @ np.linalg.lstsq(table, wave, rcond=None)[0]
    return of + size * wave


@given(st.integers(0, 2**32 - 1))
def test_zero_for_identical_spectra(seed):
    spectrum = np.random.default_rng(seed).uniform(0.05, 0.9, NM.size)
    assert metamerism(spectrum, spectrum, NM, REFERENCE, TEST) == 0.0
    assert metamerism_multiplicative(spectrum, spectrum, NM, REFERENCE, TEST) == 0.0


def test_a_metameric_pair_parts_in_the_other_light():
    trial = metamer(TEAL, REFERENCE)
    reference = white(REFERENCE, NM)
    same = [lab(tristimulus(one, NM, REFERENCE), reference) for one in (TEAL, trial)]
    np.testing.assert_allclose(*same, atol=1e-9)
    found = metamerism(TEAL, trial, NM, REFERENCE, TEST)
    plain = [lab(tristimulus(one, NM, TEST), white(TEST, NM)) for one in (TEAL, trial)]
    assert found == pytest.approx(float(np.linalg.norm(plain[0] - plain[1])), abs=1e-9)
    assert found > 0.5
    assert metamerism_multiplicative(TEAL, trial, NM, REFERENCE, TEST) == pytest.approx(found, abs=1e-6)


def test_arrays_and_another_formula():
    many = np.stack([TEAL, metamer(TEAL, REFERENCE)])
    assert metamerism(TEAL, many, NM, REFERENCE, TEST).shape == (2,)
    assert metamerism(TEAL, many, NM, REFERENCE, TEST, ciede2000)[1] > 0


def test_dividing_by_almost_nothing_is_refused():
    grey = (50.0, 1e-6, 10.0)
    with pytest.raises(CorrectionError, match="near zero"):
        multiplicative(Quartet(grey, grey, grey, grey))


def test_matches_in_one_light_and_not_in_the_other():
    lights = {name: VIEWS[name] for name in ("daylight", "direct sun", "tungsten")}
    told = str(match_in_lights(TEAL, metamer(TEAL, REFERENCE), NM, limit=0.5, lights=lights))
    assert told.startswith("matches in daylight and direct sun, not in tungsten (cleaner")
    assert str(match_in_lights(TEAL, TEAL, NM, lights=lights)) == "matches in daylight, direct sun and tungsten"
    assert str(match_in_lights(TEAL, TEAL / 2, NM, lights=lights)).startswith("does not match in daylight (darker")


def test_a_grey_does_not_travel_and_a_teal_does():
    grey = through_lights(np.full(NM.size, 0.3), NM)
    assert all(light.difference < 1e-6 for light in grey.lights)
    teal = through_lights(TEAL, NM)
    assert teal.farthest.difference > 2.0
    assert "in daylight: no step to speak of (0.0)" in str(teal)
    with pytest.raises(DifferenceError, match="one at a time"):
        through_lights(np.stack([TEAL, TEAL]), NM)
