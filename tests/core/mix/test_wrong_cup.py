from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.mix.wrong_cup import check_cup, dye_share

F = Fraction
NEAT = {"weak teal": F(5), "strong teal": F(2)}
BODIED = {"weak teal": F(10, 7), "strong teal": F(4, 7), "carrier": F(9)}
DYES = {"weak teal", "strong teal"}


def test_the_bodied_mix_taken_for_the_neat_one():
    check = check_cup(NEAT, BODIED, DYES)
    assert (check.same, check.dye_times, check.other) == (False, F(11, 2), ("carrier",))
    assert "5.5 times" in check.sentence and "weaker" in check.sentence


def test_the_neat_mix_taken_for_the_bodied_one():
    assert "stronger: it has 5.5 times" in check_cup(BODIED, NEAT, DYES).sentence


def test_the_right_cup_whatever_its_size():
    check = check_cup(NEAT, {"weak teal": F(25, 2), "strong teal": F(5)}, DYES)
    assert check.same and check.dye_times == 1 and check.sentence == ""


def test_no_dye_in_one_of_the_two():
    assert check_cup(NEAT, {"carrier": F(1)}, DYES).dye_times is None
    assert "only" in check_cup(NEAT, {"carrier": F(1)}, DYES).sentence


# Common practice, no source: four parts weak dye to one strong, then six of carrier to one
# of that, is 1/7 dye.
def test_body_of_six_to_one_is_a_seventh_of_the_dye():
    check = check_cup(
        {"weak": F(4), "strong": F(1)}, {"weak": F(4), "strong": F(1), "carrier": F(30)}, ["weak", "strong"]
    )
    assert check.dye_times == 7


@given(st.integers(1, 40), st.integers(1, 40), st.integers(0, 400))
def test_dye_times_is_the_thinning(weak, strong, carrier):
    neat = {"weak teal": F(weak), "strong teal": F(strong)}
    bodied = {**neat, "carrier": F(carrier)}
    assert check_cup(neat, bodied, DYES).dye_times == 1 / dye_share(bodied, DYES)
