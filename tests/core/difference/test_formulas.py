import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.difference import (
    FORMULAS,
    GRAPHIC_ARTS,
    TEXTILES,
    UnknownFormulaError,
    WeightsError,
    cie76,
    cie94,
    cmc,
    components,
    din99,
    formula,
)
from sprayout_core.difference.hue import hue_step
from sprayout_core.light import NotFiniteError

labs = st.tuples(st.floats(0, 120), st.floats(-120, 120), st.floats(-120, 120))

PAIRS = {
    1: ((50, 2.6772, -79.7751), (50, 0, -82.7485)),
    7: ((50, 0, 0), (50, -1, 2)),
    17: ((50, 2.5, 0), (73, 25, -18)),
    25: ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387)),
    26: ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864)),
    28: ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901)),
    29: ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619)),
    31: ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447)),
    34: ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514)),
}
# source: pairs of Sharma, Wu, Dalal (2005); values on which three independent packages agree
VALUES = {
    1: (4.001063, 1.395039, 1.738736, 1.738736, 1.472143),
    7: (2.236068, 2.236068, 3.504809, 3.504809, 1.537929),
    17: (36.868008, 34.689163, 42.108755, 37.923276, 24.617673),
    25: (3.181924, 1.390995, 1.428230, 1.420486, 1.177217),
    26: (2.213343, 1.248089, 1.254814, 1.247404, 0.987530),
    28: (4.606309, 1.820451, 2.025834, 2.024991, 1.535895),
    29: (6.584680, 2.556133, 3.086955, 3.060441, 2.621358),
    31: (1.505148, 1.419453, 1.900952, 1.889083, 1.004201),
    34: (1.319108, 1.306545, 2.449344, 1.427773, 1.956123),
}


@pytest.mark.parametrize("number", PAIRS)
def test_published_pairs(number):
    pair = PAIRS[number]
    found = (cie76(*pair), cie94(*pair, GRAPHIC_ARTS), cmc(*pair, 1, 1), cmc(*pair))
    np.testing.assert_allclose(found, VALUES[number][:4], atol=1e-6)
    assert din99(*pair) == pytest.approx(VALUES[number][4], abs=2e-3)


def test_swapping_standard_and_trial_changes_cie94_and_cmc():
    """Source: pair 25 of Sharma, Wu, Dalal (2005), swapped."""
    standard, trial = PAIRS[25]
    assert cie94(trial, standard) == pytest.approx(1.357619, abs=1e-6)
    assert cmc(trial, standard, 1, 1) == pytest.approx(1.401240, abs=1e-6)
    assert cie94(standard, trial, TEXTILES) != cie94(standard, trial)


@given(labs, labs)
def test_components_make_up_the_difference(standard, trial):
    step = components(standard, trial)
    whole = np.sqrt(step.lightness**2 + step.chroma**2 + step.hue**2)
    assert whole == pytest.approx(float(cie76(standard, trial)), abs=1e-7)


@given(labs, labs)
def test_components_change_sign_with_the_order(standard, trial):
    there, back = components(standard, trial), components(trial, standard)
    # an exactly opposed hue counts as positive from both sides
    for one, other in zip(there[:2] + there[3:], back[:2] + back[3:], strict=True):
        assert one == pytest.approx(-other, abs=1e-9)
    assert abs(there.hue) == pytest.approx(abs(back.hue), abs=1e-9)


def test_a_tiny_hue_step_keeps_its_digits():
    step = 1e-9
    a, b = 100 * np.cos(step), 100 * np.sin(step)
    assert hue_step(np.array(100.0), np.array(0.0), a, b) == pytest.approx(1e-7, rel=1e-9)


@pytest.mark.parametrize("name", FORMULAS)
def test_every_formula_is_zero_for_equal_colours_and_takes_arrays(name):
    many = np.random.default_rng(6).uniform(0, 90, (4, 5, 3))
    assert (formula(name)(many, many) == 0).all()
    assert formula(name)(many, many[0, 0]).shape == (4, 5)
    bad = many.copy()
    bad[1, 2, 1] = np.nan
    with pytest.raises(NotFiniteError):
        formula(name)(bad, many)


def test_a_plugins_formula_is_used_under_its_own_name():
    def doubled(standard, trial):
        return 2 * cie76(standard, trial)

    assert formula("doubled", {"doubled": doubled})(*PAIRS[7]) == pytest.approx(2 * 2.236068, abs=1e-6)
    with pytest.raises(UnknownFormulaError, match="its own 'ciede2000'"):
        formula("ciede2000", {"ciede2000": doubled})
    with pytest.raises(UnknownFormulaError, match="cie1976"):
        formula("doubled")


def test_cmc_refuses_weights_that_are_none():
    with pytest.raises(WeightsError, match="lightness"):
        cmc(*PAIRS[1], lightness=0)
