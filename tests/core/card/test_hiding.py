import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.card import hiding


def test_a_coat_that_hides():
    """Y of L* 50 and 60 (ISO/CIE 11664-4): 18.4187 and 28.1233."""
    assert hiding(50.0, 60.0, 0.0).ratio == pytest.approx(18.4187 / 28.1233, abs=1e-5)
    assert hiding(70.0, 70.0, 1.0).ratio == 1.0


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 8))
def test_the_interval_holds_the_ratio_and_grows_with_doubt(black, white, doubt):
    found, surer = hiding(black, white, doubt), hiding(black, white, doubt / 2)
    assert found.low <= found.ratio <= found.high
    assert found.high - found.low >= surer.high - surer.low - 1e-12


def test_dark_coats_are_doubtful():
    dark, light = hiding(5.0, 10.0, 2.0), hiding(60.0, 70.0, 2.0)
    assert dark.high / dark.low > 2 * light.high / light.low
