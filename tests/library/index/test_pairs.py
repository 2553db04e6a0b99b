from contextlib import closing

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_library.index.pairs import Pairs
from sprayout_library.index.rows import key, open_rows, write_rows

IDS = st.one_of(st.uuids(), st.sampled_from(["00" * 16, "00" * 15 + "01", "01" + "00" * 15, "ff" * 16])).map(str)


@given(st.lists(st.tuples(IDS, IDS), max_size=60))
def test_pairs_come_out_in_order(pairs):
    held = Pairs()
    for one, other in pairs:
        held.add(one, other)
    assert len(held) == len(pairs)
    expected = sorted((key(one), key(other)) for one, other in pairs)
    assert held.ordered() == b"".join(one + other for one, other in expected)


def test_what_is_no_id_is_told():
    held = Pairs()
    held.add("00" * 16, "00" * 15)
    with pytest.raises(ValueError, match="sixteen"):
        held.ordered()


@pytest.mark.parametrize("count", [0, 1, 2000, 4003])
def test_pairs_become_rows(tmp_path, count):
    pairs = [(number.to_bytes(16, "big"), bytes([number % 256]) * 16) for number in range(count)]
    rows = write_rows(tmp_path / "some.rows")
    rows.pairs(b"".join(one + other for one, other in pairs), "reading")
    rows.finish()
    with closing(open_rows(tmp_path / "some.rows")) as db:
        found = db.execute("SELECT panel, id, kind FROM sees").fetchall()
    assert found == [(one, other, "reading") for one, other in pairs]
