import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import FaultsError
from sprayout_core.tables import TYPED, typed


def test_one_line_from_a_display():
    (reading,) = typed("41.2 -20.5 3.4 D65/10 45:0 bare", "kelp")
    assert reading.coordinates == {"L*": 41.2, "a*": -20.5, "b*": 3.4}
    about = reading.conditions
    assert (about.illuminant, about.observer, about.geometry, about.stage) == ("D65", 10, "45:0", "bare")
    assert (reading.label, reading.keys) == ("kelp", TYPED)


@pytest.mark.parametrize(
    "text",
    [
        "L* 41.2 a* -20.5 b* 3.4 D65/10 45:0 bare",
        "L=41.2 a=-20.5 b=3.4 D65/10° 45/0 Bare",
        "bare 45:0 D65/10 41,2 −20,5 3,4",
        "b* 3.4 L* 41.2 a* -20.5 45:0 bare D65/10",
    ],
)
def test_spellings_of_one_line(text):
    assert typed(text, "kelp") == typed("41.2 -20.5 3.4 D65/10 45:0 bare", "kelp")


def test_several_geometries_in_one_line():
    readings = typed("45as15 110.2 -30 5.1; 45as45 52 -24 3.9; 45as110 20 -9 1; D65/10 cleared", "kelp")
    assert [one.conditions.geometry for one in readings] == ["45as15", "45as45", "45as110"]
    assert [one.coordinates["L*"] for one in readings] == [110.2, 52.0, 20.0]
    assert {one.conditions.stage for one in readings} == {"cleared"}


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("41.2 -20.5 3.4 45:0 bare", "the illuminant is missing"),
        ("41.2 -20.5 3.4 D65/10 bare", "the geometry is missing"),
        ("41.2 -20.5 3.4 D65/10 45:0", "the stage is missing"),
        ("41.2 -20.5 D65/10 45:0 bare", "2 numbers are there"),
        ("41,2,-20,5,3,4 D65/10 45:0 bare", "is not understood"),
        ("-20.5 41.2 3.4 D65/10 45:0 bare", "L* of -20.5 cannot be"),
        ("41.2 -20.5 3.4 D65/10 D50/2 45:0 bare", "two answers for the illuminant"),
        ("41.2 -20.5 3.4 D65/10 d:8 bare", "'d:8' is not understood"),
        ("41.2 -20.5 3.4 Q7/10 45:0 bare", "no known illuminant"),
        ("45:0 41 1 2; 45:0 42 1 2; D65/10 bare", "two parts have one geometry"),
        ("L* 41.2 a* -20.5 3.4 D65/10 45:0 bare", "not each of L*, a*, b*"),
        ("D65/10 45:0 bare", "no L*, a*, b*"),
        ("nan -20.5 3.4 D65/10 45:0 bare", "'nan' is not understood"),
        ("", "no L*, a*, b*"),
    ],
)
def test_what_is_missing_or_wrong_is_named(text, problem):
    with pytest.raises(FaultsError) as refused:
        typed(text, "kelp")
    assert problem in str(refused.value)


@given(st.text(max_size=60))
def test_any_text_gives_readings_or_faults(text):
    try:
        assert all(one.coordinates for one in typed(text, "kelp"))
    except FaultsError as wrong:
        assert wrong.faults
