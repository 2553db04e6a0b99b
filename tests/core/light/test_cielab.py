import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.light import NotFiniteError, ShapeError, din99, din99o, from_lch, lab, lch, luv, xyz

coordinate = st.floats(-120, 120)
labs = st.tuples(st.floats(0, 130), coordinate, coordinate)
WHITE = (94.811, 100.0, 107.305)


def test_published_example():
    """Source: example values of the general colour-science package's documentation, computed there too."""
    x, y = 0.3127, 0.3290
    reference = np.array([x / y, 1.0, (1 - x - y) / y])
    np.testing.assert_allclose(
        lab((0.20654008, 0.12197225, 0.05136952), reference), (41.52787529, 52.63858304, 26.92317922), atol=1e-6
    )


def test_linear_part_and_lightness_of_18_percent():
    """Source: ISO/CIE 11664-4, the equation itself, worked by hand."""
    np.testing.assert_allclose(lab(np.multiply(0.005, WHITE), WHITE), (4.51648148, 0, 0), atol=1e-6)
    assert lab(np.multiply(0.18, WHITE), WHITE)[0] == pytest.approx(49.49610761, abs=1e-6)


def test_a_white_for_each_colour():
    colours, whites = np.array([[20, 30, 40], [50, 40, 30]]), np.array([WHITE, (109.85, 100, 35.58)])
    for some in (whites, whites[:1]):
        each = [lab(one, white) for one, white in zip(colours, np.broadcast_to(some, (2, 3)), strict=True)]
        np.testing.assert_array_equal(lab(colours, some), each)


def test_there_is_no_step_at_the_joint():
    joint = (6 / 29) ** 3
    below, above = (lab(np.multiply(joint * k, WHITE), WHITE)[0] for k in (1 - 1e-9, 1 + 1e-9))
    assert above - below == pytest.approx(0.0, abs=1e-6)


@given(labs)
def test_back_and_forth(values):
    np.testing.assert_allclose(lab(xyz(values, WHITE), WHITE), values, atol=1e-7)
    np.testing.assert_allclose(from_lch(lch(values)), values, atol=1e-9)


@given(labs)
def test_hue_is_from_0_to_below_360(values):
    _, chroma, hue = lch(values)
    assert 0.0 <= hue < 360.0
    assert chroma >= 0.0


def test_hue_of_neutrals_is_zero():
    np.testing.assert_array_equal(lch((50, -0.0, -0.0)), (50, 0, 0))
    assert lch((50, 1.0, -1e-320))[2] == 0.0


# source: DIN99 (first constant 105.509 there, 105.51 here) and DIN99o, computed with independent packages
@pytest.mark.parametrize(
    ("space", "values", "wanted", "atol"),
    [
        (din99, (50, 10, 10), (61.428988, 9.698804, 3.763294), 2e-3),
        (din99, (60.2574, -34.0099, 36.2677), (70.573785, -13.181891, 17.985382), 2e-3),
        (din99o, (50, 10, 10), (54.097831, 12.214886, 10.978857), 2e-3),
    ],
)
def test_din99_spaces(space, values, wanted, atol):
    np.testing.assert_allclose(space(values), wanted, atol=atol)


def test_luv_of_white_and_black():
    np.testing.assert_allclose(luv(WHITE, WHITE), (100, 0, 0), atol=1e-12)
    np.testing.assert_array_equal(luv((0, 0, 0), WHITE), (0, 0, 0))


def test_what_is_no_colour_is_refused():
    with pytest.raises(ShapeError):
        lab((1, 2), WHITE)
    with pytest.raises(ShapeError):
        lch(5.0)
    with pytest.raises(NotFiniteError):
        lab((1, np.nan, 2), WHITE)
    with pytest.raises(NotFiniteError, match="white"):
        lab((1, 2, 3), (0, 100, 100))
