import dataclasses

import pytest

from sprayout_core.sheet import (
    Answer,
    BenchSheet,
    CoatCountError,
    Code,
    LabelText,
    MixPart,
    Part,
    PourLine,
    Ratio,
    SheetError,
    Step,
    Strain,
    TwoAnswers,
)

CODE = Code("8e9f0a1b", "0193aa11-0000-7abc-9def-0123456789ab", "c0ffee1234567890")
TWO = TwoAnswers("ratio", (Answer("ours", "7 fern : 4 base"), Answer("theirs", "7 fern : 5 base")))
RATIO = Ratio("volume", (Part("7", "fern"), Part("4", "base")))


def test_a_ratio_has_its_names_glued_to_its_numbers():
    assert str(RATIO) == "7 fern : 4 base (by volume)"
    dry = Ratio("volume", (Part("7", "fern"),), (Part("12.5", "fine pearl", "g per l"),))
    assert str(dry) == "7 fern, with 12.5 g per l fine pearl (by volume)"


def test_a_glued_ratio_differs_only_in_its_blanks():
    ratio = Ratio("mass", (Part("12", "fern dye"), Part("2", "dye")), (Part("1.5", "pearl", "g per l"),))
    assert ratio.glued().replace("\u00a0", " ") == str(ratio)
    for said in ("12\u00a0fern dye", "2\u00a0dye", "1.5\u00a0g\u00a0per\u00a0l\u00a0pearl"):
        assert said in ratio.glued()


def test_a_strainer_says_where_and_shows_mesh_beside_its_opening():
    assert str(Strain("gun", "190")) == "in the gun 190 µm (about 80 mesh)"
    assert str(Strain("pour", "600")) == "at the pour 600 µm"


@pytest.mark.parametrize("amount", ["0", "-1", "1e3", "", "NaN", "Infinity", "1,5", " 2", "1/0", "two"])
def test_amounts_are_exact_and_above_zero(amount):
    with pytest.raises(SheetError, match="is not above zero"):
        PourLine("fern", amount, "ml")


def test_nothing_is_poured_from_a_mix_with_two_answers():
    with pytest.raises(SheetError, match="while its ratio has two answers"):
        MixPart("Moss", None, pours=(PourLine("fern", "70", "ml"),), two_answers=(TWO,))
    with pytest.raises(SheetError, match="no ratio and no open answers"):
        MixPart("Moss", None)


def test_one_answer_is_no_question():
    with pytest.raises(SheetError, match="1 answers about 'ratio'"):
        TwoAnswers("ratio", (Answer("ours", "7"),))


def test_every_fault_of_a_sheet_is_found_at_once():
    with pytest.raises(SheetError) as caught:
        BenchSheet("  ", CODE)
    assert [fault.place for fault in caught.value.faults] == ["sheet/title", "sheet"]


def test_a_coat_count_is_checked_unless_it_is_the_question():
    with pytest.raises(CoatCountError):
        Step("colour", "Moss", "some")
    Step("colour", "Moss", "", two_answers=TWO)


def test_a_label_needs_a_title():
    with pytest.raises(SheetError):
        LabelText("cup", " \u202e\x07", CODE)


def test_open_questions_are_gathered_from_everywhere():
    other = dataclasses.replace(TWO, about="coats")
    sheet = BenchSheet(
        "Moss frame",
        CODE,
        mixes=(MixPart("Moss", None, two_answers=(TWO,)),),
        steps=(Step("colour", "Moss", "", two_answers=other),),
    )
    assert sheet.open_questions() == (TWO, other)


def test_records_are_frozen():
    with pytest.raises(dataclasses.FrozenInstanceError):
        RATIO.basis = "mass"
