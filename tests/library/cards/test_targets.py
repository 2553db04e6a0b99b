import pytest

from sprayout_core.card import samples_frame
from sprayout_core.errors import FaultsError, SprayoutError
from sprayout_core.light import View
from sprayout_core.tables import Conditions, TableReading
from sprayout_library.cards import known_colours, known_from_rows, reference_for

ABOUT = Conditions("", "45:0", "D65", 10, "bare")


def row(label, line=2, about=ABOUT):
    return TableReading(label, line, about, coordinates={"L*": 41.0, "a*": -9.0, "b*": 3.0})


def known(*rows, name="chart"):
    return known_from_rows(name, rows, View(), "")


def test_names_find_their_cells_and_values_come_back_as_kept():
    one = known(row("a1"), row("chip 3"), row("pieces/B2"))
    assert set(one.colours) == {"target/A1", "own chips/chip 3", "pieces/B2"}
    assert known_colours({"chart": one.tree()}) == [one]
    reference, geometry = reference_for(samples_frame("M2X9AB"), [one])
    assert set(reference.colours) == {"target/A1", "own chips/chip 3"}  # pieces are no place for known colours
    assert geometry == "45:0"


def test_every_fault_is_told_at_once():
    with pytest.raises(FaultsError) as told:
        known(row("somewhere"), row("A1"), row("A1"), row("B1", about=Conditions("", "di:8", "A", 10, "bare")))
    assert len(told.value.faults) == 3


@pytest.mark.parametrize(
    ("sets", "said"),
    [
        ([], "no known colours"),
        ([known(row("A1")), known(row("A1"), name="other")], "two values are known"),
        ([known(row("A1")), known(row("B1", about=Conditions("", "di:8", "D65", 10, "bare")))], "differ in light"),
    ],
)
def test_what_does_not_go_together_is_refused(sets, said):
    with pytest.raises(SprayoutError, match=said):
        reference_for(samples_frame("M2X9AB"), sets)
