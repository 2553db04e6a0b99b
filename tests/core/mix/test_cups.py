from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.cups import (
    Dropper,
    MarkedCup,
    PrintedColumn,
    PrintedCup,
    Scale,
    drops_for,
    pour_by_column,
    pour_by_marks,
    pour_by_scale,
)

F = Fraction
CUP = PrintedCup(
    "half litre",
    (
        PrintedColumn((2, 1), {"1": F(60), "2": F(120)}),
        PrintedColumn((5, 2), {"1": F(70), "2": F(140), "3": F(210)}),
        PrintedColumn((4, 1, 1), {"1": F(90)}),
    ),
)


def test_the_column_first_to_its_mark_then_to_the_next():
    found = pour_by_column(CUP, {"strong teal": F(4), "weak teal": F(10)}, F(100))
    assert (found.column, found.mark, found.order, found.total_ml) == (
        "5:2",
        "2",
        ("weak teal", "strong teal"),
        140,
    )
    assert found.sentence == "The 5:2 column: weak teal to its 2, then strong teal to the next 2."


def test_three_part_columns_keep_the_mix_order_among_equals():
    assert pour_by_column(CUP, {"a": F(1), "b": F(4), "c": F(1)}, F(50)).order == ("b", "a", "c")


def test_a_near_column_is_another_mix():
    with pytest.raises(SprayoutError, match=r"no column of the cup is 9:4; it has 2:1, 5:2, 4:1:1"):
        pour_by_column(CUP, {"a": F(9), "b": F(4)}, F(50))
    with pytest.raises(SprayoutError, match="ends at 210 ml"):
        pour_by_column(CUP, {"a": F(5), "b": F(2)}, F(300))


def test_marks_are_met_exactly_where_the_cup_allows_it():
    cup = MarkedCup("beaker", F(10), F(300))
    listed = pour_by_marks(cup, {"a": F(5), "b": F(2)}, F(100))
    assert [(pour.reading, pour.off) for pour in listed.pours] == [(100, 0), (140, 0)]
    crowded = pour_by_marks(cup, {"a": F(97), "b": F(3)}, F(200))
    assert crowded.total == 200 and crowded.warnings
    with pytest.raises(SprayoutError, match="more than its 300 ml"):
        pour_by_marks(cup, {"a": F(1)}, F(301))


def test_scale_with_its_resolution_and_capacity():
    scale = Scale("bench scale", F("0.1"), F(500))
    listed = pour_by_scale(scale, {"a": F("80.04"), "b": F("19.96")})
    assert [pour.reading for pour in listed.pours] == [80, 100]
    with pytest.raises(SprayoutError, match="500 g"):
        pour_by_scale(scale, {"a": F(501)})


def test_drops_with_the_shops_own_drop():
    dropper = Dropper.counted("pipette", 40, F(2))
    assert dropper.drop_ml == F("0.05")
    drops = drops_for(dropper, F("0.32"))
    assert (drops.count, drops.ml, drops.off) == (6, F("0.3"), F(1, 16))
    with pytest.raises(SprayoutError, match="half a drop"):
        drops_for(dropper, F("0.02"))
    with pytest.raises(SprayoutError, match="too few"):
        Dropper.counted("pipette", 5, F(1))


@given(st.lists(st.integers(1, 9), min_size=1, max_size=3), st.integers(1, 250))
def test_marks_list_is_exact_whenever_a_round_total_fits(parts, least):
    ratio = {f"part {place}": F(part) for place, part in enumerate(parts)}
    listed = pour_by_marks(MarkedCup("beaker", F(10), F(1000)), ratio, F(least))
    assert listed.total >= least
    assert all(pour.off == 0 for pour in listed.pours)
