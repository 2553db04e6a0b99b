"""Colour differences against two independent packages, on random pairs."""

import numpy as np
import pytest

from sprayout_core.difference import (
    TEXTILES,
    Quartet,
    Weights,
    additive,
    cie76,
    cie94,
    ciede2000,
    cmc,
    din99,
    din99o,
    metamerism,
    metamerism_multiplicative,
    multiplicative,
)
from sprayout_core.light import View, lab, srgb, tristimulus, white
from sprayout_core.light import din99o as to_din99o

COUNT = 100_000
SLOW_COUNT = 500  # the second package works pair by pair


@pytest.fixture(scope="module")
def pairs():
    """Half of the pairs anywhere, half of them close, some of either neutral.

    Exactly opposed hues are left to the test of their branch: there a package follows its own rounding.
    """
    random = np.random.default_rng(20)
    standard = random.uniform((0, -110, -110), (100, 110, 110), (COUNT, 3))
    trial = random.uniform((0, -110, -110), (100, 110, 110), (COUNT, 3))
    trial[: COUNT // 2] = standard[: COUNT // 2] + random.normal(0, 1.5, (COUNT // 2, 3))
    trial[:, 0] = np.clip(trial[:, 0], 0, 100)
    standard[100:200, 1:] = 0.0
    trial[150:250, 1:] = 0.0
    return standard, trial


FIRST = {
    "CIE 1976": (cie76, {}),
    "CIE 1994": (cie94, {"textiles": False}),
    "textiles": (lambda standard, trial: cie94(standard, trial, TEXTILES), {"textiles": True}),
    "CIE 2000": (ciede2000, {}),
    "CMC": (lambda standard, trial: cmc(standard, trial, 2.0, 1.0), {"l": 2, "c": 1}),
}


@pytest.mark.parametrize("name", FIRST)
def test_100_000_pairs_against_the_first_package(colour, pairs, name):
    ours, options = FIRST[name]
    method = "CIE 1994" if name == "textiles" else name
    theirs = colour.delta_E(*pairs, method=method, **options)
    np.testing.assert_allclose(ours(*pairs), theirs, atol=1e-9, rtol=0)


def test_din99_to_2e_3_as_constants_differ(colour, pairs):
    standard, trial = pairs
    near = (standard[: COUNT // 2], trial[: COUNT // 2])
    np.testing.assert_allclose(din99(*near), colour.delta_E(*near, method="DIN99"), atol=2e-3, rtol=0)


def test_ciede2000_with_weights_against_hand_scaled_pairs():
    """With kL = 2 a pure lightness step counts half (ISO/CIE 11664-6, the equation itself)."""
    standard, trial = (50.0, 10.0, 10.0), (55.0, 10.0, 10.0)
    assert ciede2000(standard, trial, Weights(lightness=2.0)) == pytest.approx(
        ciede2000(standard, trial) / 2.0, abs=1e-12
    )


SECOND = {
    "76": (cie76, {}),
    "94": (cie94, {"kl": 1, "k1": 0.045, "k2": 0.015}),
    "2000": (ciede2000, {}),
    "cmc": (lambda standard, trial: cmc(standard, trial, 2.0, 1.0), {"l": 2, "c": 1}),
}


def against_second(pairs, name, count):
    from coloraide import Color

    ours, options = SECOND[name]
    standard, trial = pairs
    random = np.random.default_rng(3).choice(COUNT, count, replace=False)
    theirs = [
        Color("lab-d65", first.tolist()).delta_e(Color("lab-d65", second.tolist()), method=name, **options)
        for first, second in zip(standard[random], trial[random], strict=True)
    ]
    return np.abs(ours(standard[random], trial[random]) - theirs)


@pytest.mark.parametrize("name", SECOND)
def test_pairs_against_the_second_package(pairs, name):
    assert against_second(pairs, name, SLOW_COUNT).max() < 1e-9


@pytest.mark.long
@pytest.mark.parametrize("name", SECOND)
def test_100_000_pairs_against_the_second_package(pairs, name):
    assert against_second(pairs, name, COUNT).max() < 1e-9


def test_din99o_against_the_second_package():
    from coloraide import Color
    from coloraide.spaces.din99o import DIN99o

    class Widened(Color):
        """With the space that is not registered by default."""

    Widened.register(DIN99o(), overwrite=True)
    theirs = Widened("lab-d65", [50, 10, 10]).convert("din99o").coords()
    np.testing.assert_allclose(to_din99o((50, 10, 10)), theirs, atol=2e-3)


def test_metamerism_worked_example():
    """Source: ISO 18314-4:2024 example values as carried by the package's documentation."""
    seen = Quartet(
        standard_reference=(39.0908, -21.3269, 22.6657),
        standard_test=(38.17781, -17.4939, 21.0618),
        trial_reference=(38.83253, -19.8787, 20.0453),
        trial_test=(37.9013, -19.56327, 16.9346),
    )
    assert additive(seen) == pytest.approx(3.8267581, abs=1e-6)
    assert multiplicative(seen) == pytest.approx(3.9842217, abs=1e-6)
    assert additive(seen, ciede2000) == pytest.approx(2.4654198, abs=1e-6)
    assert cie76(seen.standard_reference, seen.trial_reference) == pytest.approx(3.0050762, abs=1e-6)


@pytest.mark.parametrize(("method", "formula"), [("CIE 1976", cie76), ("CIE 2000", ciede2000)])
def test_metamerism_of_random_spectra_against_the_first_package(colour, method, formula):
    from colour.difference.metamerism_index import Lab_to_metamerism_index, XYZ_to_metamerism_index

    nm, views = np.arange(400.0, 701.0, 10.0), (View("D65"), View("FL11"))
    random = np.random.default_rng(9)
    standard = random.uniform(0.05, 0.9, (200, nm.size))
    trial = np.clip(standard + random.normal(0, 0.03, standard.shape), 0.01, 1)
    values = [[tristimulus(one, nm, view) for view in views] for one in (trial, standard)]
    (trial_r, trial_t), (standard_r, standard_t) = values
    labs = [
        lab(one, white(view, nm))
        for view, side in ((views[1], 1), (views[0], 0))
        for one in (values[0][side], values[1][side])
    ]
    theirs = Lab_to_metamerism_index(*labs, correction="Additive", method=method)
    ours = metamerism(standard, trial, nm, *views, formula)
    np.testing.assert_allclose(ours, theirs, atol=1e-9)
    theirs = XYZ_to_metamerism_index(
        *(one / 100 for one in (trial_t, standard_t, trial_r, standard_r)),
        correction="Multiplicative",
        method=method,
        illuminant=colour.XYZ_to_xy(white(views[1], nm) / 100),
    )
    ours = metamerism_multiplicative(standard, trial, nm, *views, formula)
    np.testing.assert_allclose(ours, theirs, atol=1e-9)


def test_din99o_difference_of_published_pair_25():
    """Source: DIN99o formula, pair 25 of Sharma, Wu, Dalal (2005), computed by an independent package."""
    assert din99o((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387)) == pytest.approx(1.710469, abs=1e-4)


def test_screen_colour_against_the_package(colour):
    """IEC 61966-2-1, D65 and 2 degrees: what the package makes of in-gamut colours, to half an 8-bit step."""
    random = np.random.default_rng(4)
    rgb = random.uniform(0.02, 0.98, (500, 3))
    labs = colour.XYZ_to_Lab(
        colour.sRGB_to_XYZ(rgb), colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    )
    ours, inside = srgb(labs, View("D65", 2))
    assert inside.all()
    np.testing.assert_allclose(ours, rgb, atol=0.5 / 255)
