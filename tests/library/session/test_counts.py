import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_library.session.counts import added, checked


@pytest.mark.parametrize(
    ("counts", "whole"),
    [
        (["1"], "1"),
        (["1", "1", "2"], "4"),
        (["2", "about 3"], "about 5"),
        (["1", "4 to 5"], "5 to 6"),
        (["3", "until covered"], "until covered"),
        (["about 2", "4 to 5"], "about 7"),
    ],
)
def test_no_more_is_known_of_the_sum_than_of_its_parts(counts, whole):
    assert added(counts) == whole


@given(st.lists(st.integers(1, 9), min_size=1, max_size=9))
def test_counted_coats_add_up_exactly(counts):
    assert added([str(one) for one in counts]) == str(sum(counts))


@pytest.mark.parametrize("words", ["0", "", "some", "5 to 4", "-1", "100", "1.5", "about", "٣"])
def test_what_is_no_count_is_refused(words):
    with pytest.raises(SprayoutError, match="no count"):
        checked(words)


def test_more_than_a_panel_holds_is_refused():
    with pytest.raises(SprayoutError, match="100 coats"):
        added(["99", "1"])
