"""Pour lists: each tool pours the mix and nothing else, and says what it cannot do."""

from fractions import Fraction

import pytest
from tests.library.today.shelf_of_documents import Shelf

from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, Dropper, MarkedCup, Measure, PrintedColumn, PrintedCup, Scale, calibrated
from sprayout_library.today.portions import portion
from sprayout_library.today.pouring import list_for


@pytest.fixture
def shelf():
    shelf = Shelf()
    shelf.weak, shelf.strong = shelf.material("weak teal", "0.9"), shelf.material("strong teal", "1.1")
    shelf.reed = shelf.mix("Reed", [(shelf.weak, 5), (shelf.strong, 2)])
    return shelf


def listed(shelf, amount, tool, formula=None, **more):
    formula = formula or shelf.reed
    return list_for(portion(formula, shelf.get, amount, more.get("variant")), formula, shelf.get, tool, **more)


def ml(value):
    return Amount(Fraction(value), Measure.ML)


def test_a_scale_ends_on_the_total_by_rounding_the_running_sum(shelf):
    made = listed(shelf, Amount(Fraction(50), Measure.G), Scale("bench", Fraction(1, 10)))
    # 4.5 : 2.2 by mass
    assert [(line.name, line.amount, line.reading) for line in made.lines] == [
        ("weak teal", Fraction("33.6"), Fraction("33.6")),
        ("strong teal", Fraction("16.4"), 50),
    ]
    assert made.total == "50 g"


def test_a_column_is_first_to_its_mark_then_to_the_next(shelf):
    cup = PrintedCup("jug", (PrintedColumn((5, 2), {"1": Fraction(70), "2": Fraction(140)}),))
    made = listed(shelf, ml(80), cup)
    assert made.how == "The 5:2 column: weak teal to its mark 2, then strong teal to the next 2."
    assert [(line.amount, line.reading) for line in made.lines] == [(100, 100), (40, 140)]


def test_the_reducer_is_measured_after_the_column(shelf):
    thinner = shelf.material("thinner", "0.8", "reducer")
    ready = {"gun": {"reduce": {"of": "mix", "parts": "0.1", "material": thinner.id}}}
    formula = shelf.mix("Reed", [(shelf.weak, 5), (shelf.strong, 2)], spray_ready=ready)
    cup = PrintedCup("jug", (PrintedColumn((5, 2), {"1": Fraction(70), "2": Fraction(140)}),))
    made = listed(shelf, ml(77), cup, formula, variant="gun")
    assert [(line.name, line.amount, line.reading) for line in made.lines] == [
        ("weak teal", 50, 50), ("strong teal", 20, 70), ("thinner", 7, 77),
    ]  # fmt: skip


def test_marks_take_the_least_total_on_which_every_reading_falls_on_a_mark(shelf):
    made = listed(shelf, ml(100), MarkedCup("beaker", Fraction(10), Fraction(600)))
    assert [line.reading for line in made.lines] == [100, 140]


def test_a_weighed_jar_is_filled_from_mark_to_mark_only(shelf):
    jar = calibrated("jar", [(Fraction(height), Fraction(grams)) for height, grams in ((20, 49), (32, 98), (42, 137))])
    made = listed(shelf, ml(120), jar)
    assert [line.said for line in made.lines] == ["to the 32 mm mark", "to the 42 mm mark"]
    # the marks are what was weighed, so the pour is off by what they are off: under 2 % of each part
    assert all(abs(line.amount - line.exact) / line.exact <= Fraction(2, 100) for line in made.lines)
    with pytest.raises(SprayoutError, match="ends every part at a weighed mark"):
        listed(shelf, ml(500), jar)


def test_drops_go_in_last_and_change_no_reading(shelf):
    violet = shelf.material("violet", "1")
    formula = shelf.mix("Fen", [(violet, 1), (shelf.weak, 40)])
    made = listed(
        shelf, ml(41), Scale("bench", Fraction(1, 10)), formula, droppers={violet.id: Dropper("straw", Fraction(1, 20))}
    )
    assert [(line.name, line.reading) for line in made.lines] == [("weak teal", 36), ("violet", None)]
    assert made.lines[-1].said == "20 drops of straw"


def test_what_does_not_show_on_the_scale_is_not_told_as_nothing(shelf):
    formula = shelf.mix("Fen", [(shelf.weak, 400), (shelf.strong, 1)])
    with pytest.raises(SprayoutError, match=r"strong teal: .* does not show in steps of 0.1 g"):
        listed(shelf, Amount(Fraction(10), Measure.G), Scale("bench", Fraction(1, 10)), formula)


def test_a_tool_that_needs_a_density_says_which(shelf):
    violet = shelf.material("violet")
    formula = shelf.mix("Fen", [(violet, 1), (shelf.weak, 4)])
    with pytest.raises(SprayoutError, match="violet cannot be told in g: its density is not known"):
        listed(shelf, ml(50), Scale("bench", Fraction(1, 10)), formula)


def test_a_strainer_finer_than_the_flake_is_warned_of(shelf):
    pearl = shelf.material("pearl", "3", "pearl", flake_um="60")
    ready = {"a": {"strain": {"pour": {"opening_um": "53"}}}, "b": {"strain": {"gun": {"opening_um": "190"}}}}
    formula = shelf.mix("Shimmer", [(shelf.weak, 1)], dry=[(pearl, 20)], spray_ready=ready)
    tight = listed(shelf, ml(50), None, formula, variant="a")
    assert tight.warnings == ("the 53 um strainer at the pour holds pearl back (60 um)",)
    assert {line.strain_um for line in tight.lines} == {"53"}
    assert listed(shelf, ml(50), None, formula, variant="b").warnings == ()


def test_a_list_prints_as_a_sheet_takes_it(shelf):
    job = listed(shelf, ml("10.5"), None).job()
    assert [(line.name, line.amount, line.unit, line.total) for line in job.pours] == [
        ("weak teal", "7.5", "ml", "7.5"), ("strong teal", "3", "ml", "10.5"),
    ]  # fmt: skip
