from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.pour import pour_list, targets

F = Fraction

# Worked by hand: 50 g on a 0.1 g scale; rounding the running total ends on 50.0, rounding each item on 50.1.
SEVEN = {
    "a": F("0.412"), "b": F("0.2333"), "c": F("0.1717"), "d": F("0.095"), "e": F("0.048"), "f": F("0.025"),
    "g": F("0.015"),
}  # fmt: skip


def test_running_total_is_rounded():
    listed = pour_list(targets(SEVEN, F(50)), F("0.1"))
    assert [pour.pour for pour in listed.pours] == [F(t) for t in ("20.6", "11.7", "8.5", "4.8", "2.4", "1.2", "0.8")]
    assert listed.pours[-1].reading == listed.total == 50
    assert float(listed.pours[-1].off) == pytest.approx(0.0667, abs=5e-5)


# Handbook bound for weighing: batch >= resolution / (2 x error x smallest share) = 333.3 g, worked by hand.
def test_smallest_fine_batch_is_no_less_than_the_scale_can_do():
    listed = pour_list(targets(SEVEN, F(50)), F("0.1"))
    assert F("333.3") < listed.smallest_fine < 667
    assert [pour.name for pour in listed.pours if pour.too_small] == ["d", "e", "f", "g"]
    assert len(listed.warnings) == 4 and "Make 3" in listed.warnings[0]


def test_half_a_step_decides_even_where_rounding_happens_to_be_exact():
    listed = pour_list({"carrier": F(99), "dye": F(4)}, F("0.1"))
    assert [(pour.name, pour.off, pour.too_small) for pour in listed.pours] == [
        ("carrier", 0, False),
        ("dye", 0, True),
    ]
    assert not pour_list({"carrier": F(99), "dye": F(5)}, F("0.1")).warnings


def test_order_and_strainers():
    listed = pour_list(
        {"carrier": F(90), "dye": F(20)}, F(1), order=["dye"], strain_um={"carrier": F(160)}, allowed=F(1, 20)
    )
    assert [(pour.name, pour.reading, pour.strain_um) for pour in listed.pours] == [
        ("dye", 20, None),
        ("carrier", 110, F(160)),
    ]
    assert not listed.warnings


# Common practice, no source: two strainers, one at the pour, one in the gun cup.
def test_each_component_has_its_own_strainer_at_the_pour():
    listed = pour_list({"dye": F(20), "pearl": F(20)}, F(1), strain_um={"dye": F(160), "pearl": F(240)})
    assert [pour.strain_um for pour in listed.pours] == [160, 240]


def test_impossible_lists_are_refused():
    for bad in ({}, {"dye": F(0)}):
        with pytest.raises(SprayoutError):
            pour_list(bad, F(1))
    with pytest.raises(SprayoutError, match="not in the mix"):
        pour_list({"dye": F(1)}, F(1), order=["pearl"])
    with pytest.raises(SprayoutError, match="step"):
        pour_list({"dye": F(1)}, F(0))


parts = st.dictionaries(st.sampled_from("abcdef"), st.integers(1, 400).map(F), min_size=1)
steps = st.sampled_from([F("0.01"), F("0.1"), F("0.5"), F(1), F(5)])


@given(parts, st.fractions(1, 5000, max_denominator=100))
def test_targets_sum_to_the_total_and_scale_linearly(ratio, total):
    made = targets(ratio, total)
    assert sum(made.values()) == total
    assert targets(ratio, 3 * total) == {name: 3 * amount for name, amount in made.items()}
    assert all(made[name] * sum(ratio.values()) == ratio[name] * total for name in ratio)


@given(parts, steps, st.integers(1, 5000))
def test_pours_sum_to_the_rounded_total_each_within_a_step(ratio, step, count):
    listed = pour_list(targets(ratio, count * step), step)
    assert sum(pour.pour for pour in listed.pours) == count * step
    assert all(abs(pour.pour - pour.exact) <= step for pour in listed.pours)
    assert all((pour.reading / step).denominator == 1 for pour in listed.pours)


@given(parts, steps)
def test_the_smallest_fine_batch_is_fine(ratio, step):
    fine = pour_list(targets(ratio, F(100)), step).smallest_fine
    assert not pour_list(targets(ratio, fine), step).warnings
