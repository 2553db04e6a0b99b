from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.ratio import LARGEST_PART, RatioError, decimal_text, exact, scale_of, smallest_integers

positive = st.builds(Fraction, st.integers(1, 4000), st.sampled_from([1, 2, 3, 4, 10, 100]))
ratios = st.dictionaries(st.text("abc", min_size=1, max_size=3), positive, min_size=1, max_size=6)


@given(st.fractions(min_value=0, max_value=10**9, max_denominator=10**6))
def test_one_value_has_one_text_that_reads_back(value):
    assert exact(decimal_text(value)) == value


@pytest.mark.parametrize(
    ("written", "stored"),
    [("2.50", "2.5"), ("02.5", "2.5"), ("10", "10"), ("0.0", "0"), ("1/4", "0.25"), ("2/6", "1/3")],
)
def test_spellings_fold_into_one(written, stored):
    assert decimal_text(exact(written)) == stored


@pytest.mark.parametrize("text", ["", "-1", "+1", "1e3", "1.", ".5", "1,5", " 1", "1/0", "nan", "٣", "1_0"])
def test_what_is_no_number_is_refused(text):
    with pytest.raises(RatioError, match="is not a number"):
        exact(text)


@given(ratios, positive)
def test_scaling_does_not_change_the_ratio(parts, factor):
    scaled = {name: part * factor for name, part in parts.items()}
    assert smallest_integers(scaled) == smallest_integers(parts)
    assert scale_of(scaled) == scale_of(parts) * factor


@given(ratios)
def test_smallest_integers_are_the_same_ratio_and_have_no_common_divisor(parts):
    import math

    small = smallest_integers(parts)
    total, whole = sum(parts.values()), sum(small.values())
    assert all(Fraction(small[name], whole) == parts[name] / total for name in parts)
    assert math.gcd(*small.values()) == 1


def test_ten_to_four_is_five_to_two():
    assert smallest_integers({"a": exact("10"), "b": exact("4")}) == {"a": 5, "b": 2}


@pytest.mark.parametrize("part", [0, -1])
def test_parts_of_nothing_are_refused_by_name(part):
    with pytest.raises(RatioError, match="b: "):
        smallest_integers({"a": Fraction(1), "b": Fraction(part)})


def test_a_ratio_past_what_json_keeps_exact_is_refused():
    with pytest.raises(RatioError, match=str(LARGEST_PART)):
        smallest_integers({"a": Fraction(1), "b": Fraction(1, LARGEST_PART + 2)})
