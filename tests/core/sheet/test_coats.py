import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.sheet import Boxes, CoatCountError, boxes


@pytest.mark.parametrize(
    ("count", "expected"),
    [
        ("5", Boxes(5, 0, open=False)),
        ("4 to 5", Boxes(4, 1, open=False)),
        ("about 5", Boxes(4, 3, open=True)),
        ("about 1", Boxes(0, 3, open=True)),
        ("until covered", Boxes(0, 8, open=True)),
    ],
)
def test_boxes(count, expected):
    assert boxes(count) == expected


REFUSED = ["", "0", "five", "5 to 4", "4 to 4", "about 0", "100", "-1", "5.5", "5 ", "٥"]


@pytest.mark.parametrize("count", REFUSED)
def test_other_counts_are_refused(count):
    with pytest.raises(CoatCountError) as caught:
        boxes(count)
    assert "until covered" in caught.value.fault.remedy


@given(st.integers(1, 59), st.integers(1, 59))
def test_a_range_has_its_larger_number_of_boxes(one, other):
    least, most = sorted((one, other))
    if least == most:
        most += 1
    found = boxes(f"{least} to {most}")
    assert (found.sure, found.sure + found.maybe) == (least, most)
