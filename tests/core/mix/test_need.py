from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import Span
from sprayout_core.mix.need import Wanted, todays_need

F = Fraction

DAY = {
    "kelp bodied": {"carrier": F(9), "kelp dye": F(2)},
    "kelp soft": {"carrier": F(20), "kelp dye": F(1)},
    "kelp dye": {"weak teal": F(5), "strong teal": F(2)},
}


def test_a_shared_dye_mix_is_made_first_and_summed():
    needs = todays_need(
        DAY,
        [
            Wanted("kelp bodied", Span(F(110), F(220)), "frame"),
            Wanted("kelp soft", Span.exactly(F(210)), "fork"),
        ],
    )
    assert [need.mix for need in needs] == ["kelp dye", "kelp bodied", "kelp soft"]
    dye = needs[0]
    assert dye.amount == Span(F(30), F(50))
    assert dye.taken_by == {"kelp bodied": Span(F(20), F(40)), "kelp soft": Span.exactly(F(10))}
    assert dye.components["strong teal"] == Span(F(60, 7), F(100, 7))


def test_a_mix_wanted_for_itself_and_by_another_is_summed():
    needs = todays_need(
        DAY,
        [
            Wanted("kelp dye", Span.exactly(F(7)), "badge"),
            Wanted("kelp bodied", Span.exactly(F(11)), "frame"),
        ],
    )
    assert needs[0].amount == Span.exactly(F(9))


@given(st.lists(st.tuples(st.sampled_from(sorted(DAY)), st.integers(1, 500)), min_size=1, max_size=5))
def test_what_is_made_is_what_is_wanted_plus_what_others_take(asked):
    needs = todays_need(DAY, [Wanted(mix, Span.exactly(F(n)), f"job {i}") for i, (mix, n) in enumerate(asked)])
    stock = sum(span.low for need in needs for name, span in need.components.items() if name not in DAY)
    assert stock == sum(n for _, n in asked)


def test_circles_and_unknown_mixes_are_refused():
    with pytest.raises(SprayoutError, match="a > b > a"):
        todays_need({"a": {"b": F(1)}, "b": {"a": F(1)}}, [Wanted("a", Span.exactly(F(1)), "x")])
    with pytest.raises(SprayoutError, match="moss"):
        todays_need(DAY, [Wanted("moss", Span.exactly(F(1)), "x")])
