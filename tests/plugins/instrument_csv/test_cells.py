import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sprayout_plugins.instrument_csv.cells import several

WRITTEN = st.one_of(
    st.decimals(-200, 200, places=4).map(str),
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.text("0123456789.,+-eE \t", max_size=8),
    st.text('0123456789.,+-eE_nafi[]"\x1f ٣', max_size=5),
)
CELLS = st.lists(WRITTEN, min_size=1, max_size=6)
MARK = {"point": ".", "comma": ","}


def one_by_one(cells, decimal):
    allowed = set("0123456789+-eE \t" + MARK[decimal])
    if any(set(cell) - allowed for cell in cells):
        return None
    try:
        return [float(cell.replace(",", ".")) for cell in cells]
    except ValueError:
        return None


@given(CELLS, st.sampled_from(sorted(MARK)))
@example(["1,5", "2"], "point")
@example(["1.5", "2"], "comma")
@example(["1\x1f2"], "point")
@example(["1,2", "3,4"], "comma")
@example([" "], "point")
@example(["1e999", "-0", "+.5", "007", "5."], "point")
def test_numbers_together_are_what_each_is_alone(cells, decimal):
    written = [cell.replace(".", ",") for cell in cells] if decimal == "comma" else cells
    for some in (cells, written):
        assert several(some, decimal) == one_by_one(some, decimal)


@pytest.mark.parametrize("cell", ["[1]", '"1"', "null", "nan", "Infinity", "1_000", "1 2", "٣", ""])
def test_nothing_else_is_a_number(cell):
    assert several(["1", cell], "point") is None
