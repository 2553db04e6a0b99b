import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.reading.tails import chi_squared_3_tail, f_3_tail


# source: 95 % points of the tables in any handbook of statistics (F with 3 and n, chi-squared with 3)
@pytest.mark.parametrize(
    ("freedom", "point"), [(2, 19.164), (3, 9.277), (5, 5.409), (10, 3.708), (30, 2.922), (120, 2.680)]
)
def test_f_tables(freedom, point):
    assert f_3_tail(point, freedom) == pytest.approx(0.05, abs=2e-5)


def test_chi_squared_table():
    np.testing.assert_allclose(chi_squared_3_tail([7.815, 11.345, 0.352]), [0.05, 0.01, 0.95], atol=2e-4)


@given(st.floats(0.5, 500))
def test_two_degrees_of_freedom_have_a_closed_form(value):
    # I_x(1, 3/2) = 1 - (1 - x)^(3/2)
    x = 2 / (2 + 3 * value)
    assert f_3_tail(value, 2) == pytest.approx(1 - (1 - x) ** 1.5, rel=1e-10)


@given(st.floats(0, 50), st.floats(2, 1e4))
def test_tails_fall_from_one(value, freedom):
    assert f_3_tail(0.0, freedom) == 1.0
    assert 0.0 <= f_3_tail(value + 0.5, freedom) <= f_3_tail(value, freedom) <= 1.0


def test_many_degrees_of_freedom_are_chi_squared():
    values = np.array([0.5, 2.0, 8.0])
    np.testing.assert_allclose(f_3_tail(values / 3, 1e7), chi_squared_3_tail(values), atol=1e-6)
