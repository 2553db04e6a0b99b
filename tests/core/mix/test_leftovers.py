from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.leftovers import PouredCup, contents, left_in, remainders

F = Fraction


def test_a_leftover_is_an_ingredient():
    cups = {
        "monday": PouredCup({"weak teal": F(50), "strong teal": F(20)}, taken_out=F(35)),
        "tuesday": PouredCup({"monday": F(28), "carrier": F(72)}, taken_out=F(90)),
    }
    assert remainders(cups) == {"monday": 7, "tuesday": 10}
    assert contents(cups, "tuesday") == {"weak teal": 20, "strong teal": 8, "carrier": 72}
    assert left_in(cups, "tuesday") == {"weak teal": 2, "strong teal": F(8, 10), "carrier": F(72, 10)}


def test_a_rescue_takes_the_old_cup_whole():
    cups = {
        "old": PouredCup({"a": F(80), "b": F(23)}),
        "new": PouredCup({"old": F(103), "a": F(12), "c": F(23)}),
    }
    assert remainders(cups)["old"] == 0
    assert left_in(cups, "old") == {}
    assert contents(cups, "new") == {"a": 92, "b": 23, "c": 23}


def test_overdrawn_cups_and_circles_are_refused():
    with pytest.raises(SprayoutError, match="'old' gave 1 more"):
        remainders({"old": PouredCup({"a": F(10)}, taken_out=F(6)), "new": PouredCup({"old": F(5)})})
    with pytest.raises(SprayoutError, match="gave 1 more"):
        remainders({"old": PouredCup({"a": F(10)}, taken_out=F(11))})
    with pytest.raises(SprayoutError, match="circle"):
        remainders({"a": PouredCup({"b": F(1)}), "b": PouredCup({"a": F(1)})})
    with pytest.raises(SprayoutError, match="no such cup"):
        contents({}, "a")


def test_a_long_chain_needs_no_deep_stack():
    cups = {"0": PouredCup({"dye": F(1)})}
    for number in range(1, 3000):
        cups[str(number)] = PouredCup({str(number - 1): F(1), "carrier": F(1)}, taken_out=F(1))
    assert sum(left_in(cups, "2999").values()) == 1


@st.composite
def chains(draw):
    """Cups each poured from materials and from what is still in the cups before it."""
    cups, left = {}, {}
    for number in range(draw(st.integers(1, 7))):
        poured = {
            material: draw(st.fractions("1/10", 90, max_denominator=30))
            for material in draw(st.lists(st.sampled_from("xyz"), min_size=1, unique=True))
        }
        for source in draw(st.lists(st.sampled_from(sorted(left)), unique=True)) if left else []:
            amount = left[source] * draw(st.fractions(0, 1, max_denominator=7))
            left[source] -= amount
            if amount:
                poured[source] = amount
        whole = sum(poured.values())
        out = whole * draw(st.fractions(0, 1, max_denominator=9))
        cups[f"cup {number}"] = PouredCup(poured, out)
        left[f"cup {number}"] = whole - out
    return cups


@given(chains())
def test_nothing_is_lost_or_made_through_any_chain(cups):
    left = remainders(cups)
    for key in cups:
        assert sum(left_in(cups, key).values()) == left[key]
    for material in "xyz":
        stock = sum(cup.poured.get(material, 0) for cup in cups.values())
        kept = sum(left_in(cups, key).get(material, 0) for key in cups)
        gone = sum(
            contents(cups, key).get(material, 0) * cup.taken_out / sum(cup.poured.values()) for key, cup in cups.items()
        )
        assert stock == kept + gone
