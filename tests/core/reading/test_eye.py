"""Agreement by eye, against an outside package of statistics and counts done by hand."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from sprayout_core.reading.errors import RepeatsError
from sprayout_core.reading.eye import kendall_w, orders_part, ranks, ranks_of_values, spearman

ORDERS = st.integers(3, 7).flatmap(
    lambda pieces: st.lists(st.lists(st.integers(0, 4), min_size=pieces, max_size=pieces), min_size=2, max_size=5)
)


def ranked(values):
    return [float(rank) for rank in stats.rankdata([-value for value in values])]


def test_pieces_that_look_the_same_share_their_rank():
    assert ranks([["a"], ["b", "c"], ["d"]]) == {"a": 1, "b": 2.5, "c": 2.5, "d": 4}
    assert ranks_of_values({"a": 3.0, "b": 9.0, "c": 3.0}) == {"b": 1, "a": 2.5, "c": 2.5}


@settings(max_examples=25, deadline=None)
@given(ORDERS)
def test_w_is_what_the_friedman_test_of_the_package_gives(orders):
    # scipy.stats.friedmanchisquare corrects for ties; W = chi square / (m (n - 1)) (Kendall, Rank Correlation Methods).
    given_ranks = [ranked(order) for order in orders]
    if all(len(set(order)) == 1 for order in orders) or len(orders[0]) < 3:
        return
    found = kendall_w(given_ranks)
    chi_square = stats.friedmanchisquare(*np.array(given_ranks).T).statistic
    assert found.w == pytest.approx(chi_square / (len(orders) * (len(orders[0]) - 1)), abs=1e-9)
    assert 0 <= found.w <= 1
    assert 0 < found.chance <= 1


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=3, max_size=9))
def test_rho_is_that_of_the_package(pairs):
    first, second = ([float(one) for one in side] for side in zip(*pairs, strict=True))
    if len(set(first)) == 1 or len(set(second)) == 1:
        return
    assert spearman(ranked(first), ranked(second)).rho == pytest.approx(
        stats.spearmanr(first, second).statistic, abs=1e-9
    )


def test_chance_of_two_people_and_three_pieces_counted_by_hand():
    # Six ways to put three pieces in order; one is the same (W = 1), two swap neighbours (W = 0.75).
    same = kendall_w([[1, 2, 3], [1, 2, 3]])
    assert (same.w, same.chance, same.exact) == (1.0, pytest.approx(1 / 6), "yes")
    swapped = kendall_w([[1, 2, 3], [2, 1, 3]])
    assert (swapped.w, swapped.chance) == (0.75, pytest.approx(3 / 6))
    against = kendall_w([[1, 2, 3], [3, 2, 1]])
    assert (against.w, against.chance) == (0.0, 1.0)


def test_chance_for_many_pieces_is_the_chi_square_tail():
    chance = np.random.default_rng(5)
    for pieces in (8, 9):
        orders = [[float(rank) for rank in chance.permutation(pieces) + 1] for _ in range(4)]
        found = kendall_w(orders)
        assert found.exact == "no"
        assert found.chance == pytest.approx(stats.chi2.sf(4 * (pieces - 1) * found.w, pieces - 1), rel=1e-9)


def test_chance_of_rho_over_all_arrangements():
    found = spearman([1, 2, 3, 4], [1, 2, 4, 3])
    every = [spearman([1, 2, 3, 4], list(one)).rho for one in itertools.permutations([1.0, 2.0, 3.0, 4.0])]
    assert found.chance == pytest.approx(sum(abs(one) >= found.rho - 1e-9 for one in every) / 24)
    assert spearman(list(range(9)), list(range(9))).exact == "no"


def test_where_two_orders_part_the_widest_first():
    eye = ranks([["a"], ["b"], ["c"], ["d"]])
    measured = ranks([["d"], ["b"], ["a"], ["c"]])
    parts = orders_part(eye, measured)
    assert [(one.first, one.second) for one in parts] == [("a", "d"), ("c", "d"), ("b", "d"), ("a", "b")]
    assert parts[0].gap == 5
    assert orders_part(eye, eye) == []
    assert orders_part(eye, ranks([["a", "b", "c", "d"]])) == []


@pytest.mark.parametrize(
    "orders",
    [[], [[1, 2, 3]], [[1, 2], [2, 1]], [[1, 2, 3], [1, 2]], [[2, 2, 2], [2, 2, 2]]],
)
def test_too_little_to_agree_on_is_refused(orders):
    with pytest.raises(RepeatsError):
        kendall_w(orders)


def test_nothing_to_follow_is_refused():
    for first, second in (([1, 2], [1, 2]), ([1, 2, 3], [1, 2]), ([2, 2, 2], [1, 2, 3])):
        with pytest.raises(RepeatsError):
            spearman(first, second)
    with pytest.raises(RepeatsError):
        ranks_of_values({"a": float("nan")})
