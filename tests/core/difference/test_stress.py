import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.difference import DifferenceError, stress

differences = st.lists(st.tuples(st.floats(0.1, 10), st.floats(0.1, 10)), min_size=2, max_size=20)


def test_worked_example():
    """Source: Garcia, Huertas, Melgosa, Cui (2007), example of the general colour-science package."""
    assert stress((2.0425, 2.8615, 3.4412), (1.2644, 1.2630, 1.8731)) == pytest.approx(0.1211709, abs=1e-6)


@given(differences, st.floats(0.1, 10))
def test_a_factor_changes_nothing(pairs, factor):
    computed, seen = zip(*pairs, strict=True)
    found = stress(computed, seen)
    assert 0.0 <= found <= 1.0
    assert stress(seen, computed) == pytest.approx(found, abs=1e-7)
    assert stress(computed, [factor * value for value in seen]) == pytest.approx(found, abs=1e-7)
    assert stress(computed, [factor * value for value in computed]) == pytest.approx(0.0, abs=1e-7)


@pytest.mark.parametrize(
    ("computed", "seen"),
    [((1,), (1,)), ((1, 2), (1,)), ((0, 0), (1, 2)), ((1, -2), (1, 2)), ((1, float("nan")), (1, 2))],
)
def test_refusals(computed, seen):
    with pytest.raises(DifferenceError):
        stress(computed, seen)
