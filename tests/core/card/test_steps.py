import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sprayout_core.card import find_steps


def _profile(edges, levels, noise=0.01, length=360, seed=0):
    rng = np.random.default_rng(seed)
    place = (np.arange(length) + 0.5) / length
    which = np.clip(np.searchsorted(edges, place) - 1, 0, len(levels) - 1)
    return np.array(levels)[which][:, np.newaxis] * [0.9, 0.7, 0.8] * (1 + noise * rng.standard_normal((length, 3)))


@settings(max_examples=12, deadline=None)
@given(st.lists(st.floats(0.6, 1.4), min_size=3, max_size=9), st.floats(0.75, 0.93), st.integers(0, 99))
def test_edges_laid_by_hand_are_found(widths, fall, seed):
    edges = np.concatenate([[0], np.cumsum(widths) / sum(widths)])
    found = find_steps(_profile(edges, [0.9 * fall**n for n in range(len(widths))], seed=seed), len(widths))
    assert found.edges == pytest.approx(edges, abs=0.006)
    assert not any(found.assumed)


def test_steps_that_look_alike_stand_where_the_frame_puts_them():
    levels = [0.9, 0.5, 0.3, 0.3]
    found = find_steps(_profile([0, 0.2, 0.5, 0.8, 1.0], levels, noise=0.02), 4)
    assert found.assumed == (False, False, True)
    assert found.edges[3] == 0.75
    assert found.edges[:3] == pytest.approx([0, 0.2, 0.5], abs=0.006)


def test_a_scratch_is_no_step():
    profile = _profile([0, 0.33, 0.66, 1], [0.9, 0.6, 0.4])
    profile[150:156] *= 0.3
    assert find_steps(profile, 3).edges == pytest.approx([0, 0.33, 0.66, 1], abs=0.006)


def test_black_steps_are_no_trouble():
    found = find_steps(_profile([0, 0.5, 1], [0.5, 0.0]), 2)
    assert found.edges[1] == pytest.approx(0.5, abs=0.006)
