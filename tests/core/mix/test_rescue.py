from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.rescuing import Cure, rescue, stretch

F = Fraction

OPEN = Cure.NOT_BEGUN


# Worked by hand: 80/20/20 with 80/23/0 poured needs 12/0/23 more, 138 in all.
def test_over_pour():
    found = rescue({"a": F(80), "b": F(20), "c": F(20)}, {"a": F(80), "b": F(23)}, OPEN)
    assert (found.additions, found.total, found.too_much) == ({"a": 12, "c": 23}, 138, "b")


def test_a_right_cup_needs_nothing():
    found = rescue({"a": F(5), "b": F(2)}, {"a": F(10), "b": F(4)}, OPEN)
    assert found.additions == {} and found.too_much is None and found.fits


def test_a_cup_too_small_says_how_much_to_take_out_first():
    parts = {"a": F(80), "b": F(20), "c": F(20)}
    found = rescue(parts, {"a": F(80), "b": F(23)}, OPEN, capacity=F(120))
    assert not found.fits
    kept = 1 - found.take_out / 103
    after = {"a": 80 * kept + found.additions["a"], "b": 23 * kept, "c": found.additions["c"]}
    assert after == parts and found.total == 120


def test_refused_when_catalysed_or_foreign_or_empty():
    with pytest.raises(SprayoutError, match="hardener"):
        rescue({"a": F(1)}, {"a": F(2)}, Cure.BEGUN)
    with pytest.raises(SprayoutError, match="not in the mix"):
        rescue({"a": F(1)}, {"moss": F(2)}, OPEN)
    with pytest.raises(SprayoutError, match="nothing is in the cup"):
        rescue({"a": F(1)}, {}, OPEN)
    with pytest.raises(SprayoutError, match="hardener"):
        stretch({"a": F(1)}, F(1), F(2), Cure.BEGUN)


def test_stretch():
    found = stretch({"a": F(5), "b": F(2)}, F(30), F(100), OPEN)
    assert found.additions == {"a": 50, "b": 20} and found.total == 100
    with pytest.raises(SprayoutError, match="enough"):
        stretch({"a": F(1)}, F(3), F(2), OPEN)
    with pytest.raises(SprayoutError, match="does not fit"):
        stretch({"a": F(1)}, F(3), F(20), OPEN, capacity=F(10))


cups = st.dictionaries(
    st.sampled_from("abcde"),
    st.tuples(st.integers(1, 60).map(F), st.fractions(0, 200, max_denominator=20)),
    min_size=1,
)


@given(cups)
def test_rescue_restores_the_ratio_exactly_and_no_smaller_total_does(cup):
    parts = {name: pair[0] for name, pair in cup.items()}
    poured = {name: pair[1] for name, pair in cup.items()}
    assume(any(poured.values()))
    found = rescue(parts, poured, OPEN)
    after = {name: poured[name] + found.additions.get(name, 0) for name in parts}
    whole = sum(parts.values())
    assert all(after[name] * whole == parts[name] * found.total for name in parts)
    assert sum(after.values()) == found.total
    assert all(amount > 0 for amount in found.additions.values())
    # any smaller total in the ratio holds less of some component than is already poured
    smaller = found.total * F(999_999, 1_000_000)
    assert any(parts[name] * smaller / whole < poured[name] for name in parts)
