import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_library.index.pairs import Pairs
from sprayout_library.index.rows import key

IDS = st.one_of(st.uuids(), st.sampled_from(["00" * 16, "00" * 15 + "01", "01" + "00" * 15, "ff" * 16])).map(str)


@given(st.lists(st.tuples(IDS, IDS), max_size=60))
def test_pairs_come_out_in_order(pairs):
    held = Pairs()
    for one, other in pairs:
        held.add(one, other)
    assert len(held) == len(pairs)
    assert list(held.ordered()) == sorted((key(one), key(other)) for one, other in pairs)


def test_what_is_no_id_is_told():
    held = Pairs()
    held.add("00" * 16, "00" * 15)
    with pytest.raises(ValueError, match="sixteen"):
        list(held.ordered())
