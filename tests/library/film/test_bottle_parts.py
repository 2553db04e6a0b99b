"""Exact parts from bottles of another strength, and the simplest ratio within what is known."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.documents import Formula
from sprayout_core.film import Estimate
from sprayout_library.cli.main import run
from sprayout_library.film.parts import poured_with, simplest_between

positive = st.fractions(min_value=Fraction(1, 50), max_value=50, max_denominator=200)


@given(positive, positive)
def test_the_simplest_fraction_between(one, other):
    low, high = min(one, other), max(one, other)
    found = simplest_between(low, high)
    assert low <= found <= high
    for denominator in range(1, found.denominator):
        first = -(-low * denominator // 1)
        assert first > high * denominator, f"{first}/{denominator} is simpler"


@pytest.fixture
def pour(bench):
    """Pour a mix of materials with one bottle of violet of another strength."""

    def poured(strength, **parts):
        library = bench.shop(f"parts {len(bench.stores)}")
        roles = {"violet": "dye", "moss": "dye", "carrier": "carrier"}
        line = "Mix = " + " : ".join(f"{amount} {name}" for name, amount in parts.items())
        new = [word for name in parts for word in ("--new", f"{name}={roles[name]}")]
        assert run(["--library", str(library.folder), "--by", "ada", "mix", line, *new]) == 0
        library.refresh()
        formula = next(one for one in library.documents("formula") if isinstance(one, Formula))
        violet = next(one for one in library.documents("material") if one.name == "violet")
        return poured_with(formula, {violet.id: strength}, library.find)

    return poured


def by_name(poured):
    return {one.name: one for one in poured.parts}


def test_the_carrier_takes_up_what_a_stronger_dye_leaves(pour):
    found = pour(Estimate(1.25, 0.02), violet=5, moss=2, carrier=20)
    parts = by_name(found)
    assert (parts["violet"].exact, parts["moss"].exact, parts["carrier"].exact) == (4, 2, 21)
    assert sum(one.exact for one in found.parts) == 27, "a coat is as thick as it was"
    assert {name: one.simple for name, one in parts.items()} == {"violet": 4, "moss": 2, "carrier": 21}
    assert found.remark == "" and parts["violet"].give > 0 and parts["moss"].give == 0


def test_a_weaker_dye_takes_the_carriers_place(pour):
    parts = by_name(pour(Estimate(0.8, 0.0), violet=4, carrier=6))
    assert (parts["violet"].exact, parts["carrier"].exact) == (Fraction(5, 2), Fraction(5, 2)), "of 2:3"


def test_without_carrier_the_answer_says_what_to_add_or_that_it_is_weaker(pour):
    assert "add 1 parts of carrier" in pour(Estimate(1.25, 0.02), violet=5, moss=2).remark
    assert "every coat is weaker" in pour(Estimate(0.5, 0.02), violet=5, moss=2).remark
    assert "every coat is weaker" in pour(Estimate(0.25, 0.0), violet=5, carrier=2).remark


@pytest.mark.parametrize("width", [0.005, 0.02, 0.05])
def test_the_simple_ratio_is_within_what_is_known(pour, width):
    found = pour(Estimate(1.21, width), violet=7, moss=5, carrier=30)
    parts = by_name(found)
    share = Fraction(parts["violet"].simple, parts["moss"].simple) * 5
    low, high = (
        Fraction(7) / Fraction(1.21) * (1 - Fraction(width)),
        Fraction(7) / Fraction(1.21) * (1 + Fraction(width)),
    )
    assert low * Fraction(99, 100) <= share <= high * Fraction(101, 100)
