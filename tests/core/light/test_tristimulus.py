import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.light import (
    ILLUMINANTS,
    OBSERVERS,
    VIEWS,
    GridError,
    NotFiniteError,
    ShapeError,
    View,
    lab,
    light_from_table,
    reduced,
    tristimulus,
    understood,
    weights,
    white,
)

TEN = np.arange(400.0, 701.0, 10.0)
IRREGULAR = np.concatenate([np.arange(398.4, 550, 7.3), np.arange(551, 742, 11.7)])
GRIDS = {
    "5 nm": np.arange(380.0, 781.0, 5.0),
    "10 nm": np.arange(360.0, 781.0, 10.0),
    "10 nm short": TEN,
    "20 nm": np.arange(400.0, 701.0, 20.0),
    "1 nm": np.arange(380.0, 781.0, 1.0),
    "beyond the tables": np.arange(300.0, 1001.0, 10.0),
    "odd phase": np.arange(395.0, 706.0, 10.0),
    "irregular": IRREGULAR,
}
OWN = light_from_table("bench lamp", np.arange(380.0, 781.0, 20.0), 50 + np.sin(np.arange(21.0)) * 20)


@pytest.mark.parametrize("grid", GRIDS)
@pytest.mark.parametrize("illuminant", [*ILLUMINANTS, OWN], ids=str)
def test_perfect_diffuser_is_exactly_white(illuminant, grid):
    for observer in OBSERVERS:
        diffuser_is_white(GRIDS[grid], View(illuminant, observer))


def diffuser_is_white(nm, view):
    reference = white(view, nm)
    assert reference[1] == 100.0
    many = np.ones((7, nm.size))  # a batch and one spectrum take different ways through the matrix product
    for spectra in (many, many[0]):
        assert (lab(tristimulus(spectra, nm, view), reference) == [100.0, 0.0, 0.0]).all()


# source: tristimulus values of the illuminants summed from 1 nm tables, 360 to 830 nm, by independent code
WHITES = {
    ("D65", 2): (95.047, 108.883), ("D65", 10): (94.811, 107.305), ("D50", 2): (96.424, 82.513),
    ("D50", 10): (96.721, 81.415), ("A", 2): (109.849, 35.591), ("A", 10): (111.143, 35.206),
    ("FL2", 10): (103.244, 68.987), ("FL11", 10): (103.821, 65.558),
}  # fmt: skip


@pytest.mark.parametrize("view", WHITES)
def test_whites(view):
    x, y, z = white(View(*view), GRIDS["10 nm"])
    np.testing.assert_allclose((x, y, z), (WHITES[view][0], 100.0, WHITES[view][1]), atol=1.01e-3)


# source: weights made by the method of ASTM E2022 from 1 nm tables, by independent code
ROWS_10 = {
    400: (0.137, 0.014, 0.612), 440: (3.418, 0.554, 17.537), 450: (3.699, 0.890, 19.888),
    460: (3.064, 1.290, 17.695), 500: (0.039, 4.320, 2.046), 550: (4.732, 8.855, 0.035),
    560: (6.070, 8.581, 0.001), 600: (8.672, 5.079, 0), 640: (3.095, 1.290, 0), 700: (0.058, 0.023, 0),
}  # fmt: skip
ROWS_20 = {
    400: (0.378, 0.035, 1.667), 440: (6.701, 1.104, 34.462), 460: (6.054, 2.605, 35.120),
    500: (0.071, 8.687, 4.038), 560: (12.171, 17.153, 0.002), 600: (17.230, 10.118, 0), 700: (0.105, 0.041, 0),
}  # fmt: skip


@pytest.mark.parametrize(("step", "rows"), [(10, ROWS_10), (20, ROWS_20)])
def test_selected_rows_of_the_weights_for_d65_and_10_degrees(step, rows):
    table = weights(np.arange(360.0, 781.0, step))
    for nm, wanted in rows.items():
        np.testing.assert_allclose(table[(nm - 360) // step], wanted, atol=2e-3)


def test_short_ranges_put_the_missing_weights_on_their_ends():
    whole, short = weights(GRIDS["10 nm"]), weights(TEN)
    np.testing.assert_allclose(short[0], whole[:5].sum(axis=0), atol=1e-10)
    np.testing.assert_allclose(short[-1], whole[34:].sum(axis=0), atol=1e-10)
    np.testing.assert_allclose(short[1:-1], whole[5:34], atol=1e-10)


def smooth(nm):
    return 0.4 + 0.3 * np.sin((np.asarray(nm) - 400) / 60.0)


@pytest.mark.parametrize("grid", ["5 nm", "10 nm", "20 nm", "irregular", "odd phase"])
@pytest.mark.parametrize("illuminant", ["D65", "FL11", "LED-B3"])
def test_a_smooth_spectrum_looks_the_same_on_every_grid(illuminant, grid):
    view, fine = View(illuminant), np.arange(360.0, 781.0, 1.0)
    truth = lab(tristimulus(smooth(fine), fine, view), white(view, fine))
    nm = GRIDS[grid]
    inside = smooth(np.clip(nm, 360, 780))
    np.testing.assert_allclose(lab(tristimulus(inside, nm, view), white(view, nm)), truth, atol=0.12)


def test_what_is_done_to_a_grid_is_said():
    assert understood(TEN).said == "400 to 700 nm every 10 nm"
    assert "reduced to 380 to 780 nm every 5 nm by interpolation" in understood(GRIDS["1 nm"]).said
    assert "not on a standard grid" in understood(IRREGULAR).said
    assert understood(IRREGULAR).step == 20
    assert "28 outside 360 to 780 nm left out" in understood(GRIDS["beyond the tables"]).said


def test_reducing_first_changes_nothing():
    spectrum = smooth(IRREGULAR)
    done = reduced(spectrum, IRREGULAR)
    np.testing.assert_allclose(
        tristimulus(done.reflectance, done.wavelengths), tristimulus(spectrum, IRREGULAR), atol=1e-9
    )


def test_one_nm_data_are_taken_at_every_fifth():
    fine = GRIDS["1 nm"]
    values = smooth(fine)
    np.testing.assert_array_equal(reduced(values, fine).reflectance, values[::5])


@given(st.floats(0, 2), st.floats(-1, 2))
def test_tristimulus_values_are_linear(first, second):
    one, other = smooth(TEN), np.linspace(0, 1, TEN.size)
    np.testing.assert_allclose(
        tristimulus(first * one + second * other, TEN),
        first * tristimulus(one, TEN) + second * tristimulus(other, TEN),
        atol=1e-9,
    )


def test_a_face_brighter_than_the_diffuser_is_legal():
    assert lab(tristimulus(np.full(31, 1.9), TEN), white(View(), TEN))[0] > 120


def test_arrays_keep_their_shape():
    assert tristimulus(np.ones((2, 3, 31)), TEN, VIEWS["tungsten"]).shape == (2, 3, 3)


@pytest.mark.parametrize(
    ("nm", "said"),
    [
        (TEN[::-1], "do not increase"),
        (TEN / 1000.0, "must reach"),
        (np.arange(450.0, 701.0, 10.0), "450 to 700"),
        (np.array([400.0, 500.0, 600.0, 700.0]), "widest gap"),
        (np.array([400.0, 700.0]), "fewer than four"),
        (np.where(TEN == 500, np.nan, TEN), "do not increase"),
    ],
)
def test_wavelengths_that_cannot_be_used_are_refused(nm, said):
    with pytest.raises(GridError, match=said):
        tristimulus(np.ones(np.size(nm)), nm)


def test_wrong_reflectances_are_refused():
    with pytest.raises(ShapeError, match="30 reflectances for 31"):
        tristimulus(np.ones(30), TEN)
    for bad in (np.nan, np.inf):
        with pytest.raises(NotFiniteError):
            tristimulus(np.where(TEN == 500, bad, 0.5), TEN)
