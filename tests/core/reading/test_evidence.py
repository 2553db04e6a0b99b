import pytest

from sprayout_core.reading import EvidenceError, Grade, ReadingError, one_grade, warm_panel


def test_one_grade_passes():
    assert one_grade([Grade.SPECTRUM, Grade.SPECTRUM]) is Grade.SPECTRUM


@pytest.mark.parametrize("other", [grade for grade in Grade if grade is not Grade.SPECTRUM])
def test_grades_are_never_mixed_and_both_are_named(other):
    with pytest.raises(EvidenceError) as refused:
        one_grade([Grade.SPECTRUM, other])
    assert "spectrum" in str(refused.value)
    assert other.value in str(refused.value)


def test_no_evidence():
    with pytest.raises(EvidenceError, match="no evidence"):
        one_grade([])


def test_a_warm_panel_measures_differently():
    assert "warm panel measures differently: it was 37 °C" in warm_panel(60)
    assert "cold panel" in warm_panel(5)
    assert warm_panel(24) == ""
    assert warm_panel(30, 30) == ""
    for wrong in (float("nan"), 400):
        with pytest.raises(ReadingError):
            warm_panel(wrong)
