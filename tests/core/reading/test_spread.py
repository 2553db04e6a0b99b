import numpy as np
import pytest

from sprayout_core.difference import ciede2000
from sprayout_core.light import NotFiniteError, ShapeError
from sprayout_core.reading import RepeatsError, repeatability, spread

REPEATS = np.array(
    [(54.66, 37.63, 19.08), (54.71, 37.55, 19.15), (54.60, 37.70, 19.02), (54.69, 37.61, 19.20), (54.64, 37.66, 18.95)]
)


def test_mean_colour_difference_from_the_mean():
    """Values computed independently from the five repeats."""
    found = spread(REPEATS)
    np.testing.assert_allclose(found.mean, (54.66, 37.63, 19.08), atol=1e-9)
    assert found.mcdm == pytest.approx(0.097536, abs=1e-6)
    assert found.largest == pytest.approx(0.134907, abs=1e-6)
    np.testing.assert_allclose(np.sqrt(np.diag(found.covariance)), (0.043012, 0.056125, 0.099750), atol=1e-6)
    by_2000 = spread(REPEATS, ciede2000)
    assert by_2000.mcdm == pytest.approx(0.066021, abs=1e-6)
    assert by_2000.largest == pytest.approx(0.086963, abs=1e-6)


def test_covariance_is_the_usual_one_and_arrays_stack():
    many = np.random.default_rng(1).normal(50, 1, (4, 7, 3))
    found = spread(many)
    assert found.mcdm.shape == (4,)
    for place in range(4):
        np.testing.assert_allclose(found.covariance[place], np.cov(many[place].T), atol=1e-12)


def test_equal_repeats_have_no_spread():
    found = spread(np.full((3, 3), 7.0))
    assert found.mcdm == 0.0
    assert not found.covariance.any()


def test_pooling_weighs_by_degrees_of_freedom():
    random = np.random.default_rng(2)
    one, other = spread(random.normal(0, 1, (5, 3))), spread(random.normal(0, 3, (9, 3)))
    pooled = repeatability(one, other)
    assert pooled.freedom == 12
    np.testing.assert_allclose(pooled.covariance, (4 * one.covariance + 8 * other.covariance) / 12)


def test_refusals():
    with pytest.raises(RepeatsError, match="twice"):
        spread(REPEATS[:1])
    with pytest.raises(RepeatsError):
        spread(REPEATS[0])
    with pytest.raises(ShapeError):
        spread([(1, 2), (1, 2)])
    with pytest.raises(NotFiniteError):
        spread([(1, 2, np.nan), (1, 2, 3)])
    with pytest.raises(RepeatsError):
        repeatability()
