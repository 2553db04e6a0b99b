"""Tristimulus values and CIELAB against the general package's own ASTM E308 route."""

import warnings
from importlib import resources

import numpy as np
import pytest

from sprayout_core.light import ILLUMINANTS, OBSERVERS, View, lab, tristimulus, weights, white

CMFS = {2: "CIE 1931 2 Degree Standard Observer", 10: "CIE 1964 10 Degree Standard Observer"}
GRID = np.arange(360.0, 781.0, 10.0)


LINES = 5e-3
"""The package holds the first tabulated power of a tube below 380 nm; we take nothing where nothing is known."""


@pytest.fixture(scope="module")
def sets(colour):
    """Every published reflectance set the package carries, at 10 nm: wavelengths (n,) and values (k, n)."""
    found = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for family in (colour.SDS_COLOURCHECKERS, colour.quality.SDS_TCS):
            for name in family:
                for one in family[name].values():
                    ten = at_ten(one.wavelengths, one.values[np.newaxis])
                    found.setdefault((name, ten[0].size), []).append(ten)
        found = {name: (ten[0][0], np.vstack([one[1] for one in ten])) for name, ten in found.items()}
        many = colour.quality.cfi2017.load_TCS_CIE2017(colour.SpectralShape(380, 780, 1))
        found["CIE 2017"] = at_ten(many.wavelengths, many.values.T)
    path = resources.files("colour.characterisation").joinpath("datasets", "rawtoaces", "190_Patches.csv")
    rows = np.loadtxt(path.read_text(encoding="utf-8").splitlines(), delimiter=",", skiprows=1)
    patches = rows[:, 1:].T
    found["190 patches"] = at_ten(rows[:, 0], patches[(patches <= 1).all(axis=1)])
    return found


def at_ten(wavelengths, values):
    nm = np.asarray(wavelengths)
    keep = np.isclose(nm % 10, 0) & (nm >= 360) & (nm <= 780)
    return nm[keep], values[:, keep]


def test_the_sets_are_there(sets):
    counts = {name: len(values) for name, (_, values) in sets.items()}
    assert len(counts) >= 8
    assert counts["CIE 2017"] == 99
    assert sum(counts.values()) > 350


def compared(colour, sets, view, stride):
    """Return the largest Lab deviation from the package's sd_to_XYZ_ASTME308 on the same 10 nm values."""
    worst = 0.0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        cmfs, light = colour.MSDS_CMFS[CMFS[view.observer]], colour.SDS_ILLUMINANTS[view.illuminant]
        for nm, values in sets.values():
            chosen = values[::stride]
            theirs = [
                colour.colorimetry.sd_to_XYZ_ASTME308(colour.SpectralDistribution(one, nm), cmfs, light)
                for one in chosen
            ]
            reference = white(view, nm)
            ours = lab(tristimulus(chosen, nm, view), reference)
            worst = max(worst, np.abs(ours - lab(theirs, reference)).max())
    return worst


@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("illuminant", ["D65", "A", "FL11", "LED-B3"])
def test_published_reflectances_within_0_02_lab(colour, sets, illuminant, observer):
    assert compared(colour, sets, View(illuminant, observer), stride=12) < 0.02


@pytest.mark.long
@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("illuminant", ILLUMINANTS)
def test_all_published_reflectances_within_0_02_lab(colour, sets, illuminant, observer):
    worst = compared(colour, sets, View(illuminant, observer), stride=1)
    print(f"{illuminant}/{observer}: {worst:.5f}")
    assert worst < 0.02


# source: ISO 17321-1 chart reflectances as the general package carries them, with its own E2022 weights at 10 nm
CHART = {
    "red": {"D65": (40.249, 48.554, 24.309), "A": (47.531, 51.167, 37.069), "FL11": (43.629, 45.273, 30.038),
            "LED-B3": (42.271, 44.417, 27.690)},
    "blue": {"D65": (32.575, 13.347, -46.640), "A": (28.361, -2.649, -52.839), "FL11": (28.958, 10.356, -52.684),
             "LED-B3": (29.548, 11.160, -54.913)},
    "orange": {"D65": (59.552, 33.749, 54.934), "A": (65.801, 33.469, 65.163), "FL11": (62.875, 30.333, 60.585),
               "LED-B3": (63.423, 29.538, 61.610)},
    "cyan": {"D65": (53.439, -30.220, -22.068), "A": (47.987, -34.626, -33.091),
             "FL11": (48.966, -23.577, -28.187), "LED-B3": (49.583, -26.843, -29.041)},
    "neutral 5 (.70 D)": {"D65": (52.182, 0.082, -0.065), "A": (52.184, -0.081, -0.056),
                          "FL11": (52.210, 0.123, -0.078), "LED-B3": (52.208, 0.102, -0.172)},
}  # fmt: skip


@pytest.mark.parametrize("patch", CHART)
def test_chart_patches_in_four_lights(colour, patch):
    spectrum = colour.SDS_COLOURCHECKERS["ISO 17321-1"][patch]
    nm, values = at_ten(spectrum.wavelengths, np.array([spectrum.values]))
    for illuminant, wanted in CHART[patch].items():
        view = View(illuminant)
        seen = lab(tristimulus(values[0], nm, view), white(view, nm))
        np.testing.assert_allclose(seen, wanted, atol=0.02)


@pytest.mark.parametrize("step", [5, 10, 20])
@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("illuminant", ["D65", "A", "FL11", "LED-B3"])
def test_weights_are_those_of_the_package(colour, illuminant, observer, step):
    """Source: tristimulus_weighting_factors_ASTME2022 of the package, tables aligned to 360-780 nm first."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        shape = colour.SpectralShape(360, 780, 1)
        cmfs = colour.MSDS_CMFS[CMFS[observer]].copy().align(shape)
        light = colour.SDS_ILLUMINANTS[illuminant].copy().align(shape)
        theirs = colour.colorimetry.tristimulus_weighting_factors_ASTME2022(
            cmfs, light, colour.SpectralShape(360, 780, step)
        )
    ours = weights(np.arange(360.0, 781.0, step), View(illuminant, observer))
    atol = LINES if illuminant == "FL11" else 2e-5
    np.testing.assert_allclose(ours, theirs, atol=atol, rtol=0)


def test_luv_against_the_package(colour):
    from sprayout_core.light import luv

    random = np.random.default_rng(1)
    xyz, reference = random.uniform(0, 100, (1000, 3)), white(View(), GRID)
    xy = colour.XYZ_to_xy(reference / 100)
    np.testing.assert_allclose(luv(xyz, reference), colour.XYZ_to_Luv(xyz / 100, xy), atol=1e-9)


def test_adaptation_against_the_package(colour):
    from sprayout_core.light import adapted

    random = np.random.default_rng(2)
    xyz = random.uniform(0, 100, (100, 3))
    source, target = white(View("A"), GRID), white(View("D65"), GRID)
    matrix = colour.adaptation.matrix_chromatic_adaptation_VonKries(source / 100, target / 100, transform="CAT16")
    np.testing.assert_allclose(adapted(xyz, source, target), xyz @ matrix.T, atol=1e-9)
