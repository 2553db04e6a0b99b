"""CIEDE2000 against the 34 published pairs (Sharma, Wu, Dalal 2005)."""

from pathlib import Path

import numpy as np

from sprayout_core.difference import ciede2000

PAIRS = np.loadtxt(Path(__file__).with_name("ciede2000_pairs.csv"), delimiter=",", skiprows=2)


def test_all_34_pairs_to_their_printed_decimals():
    assert PAIRS.shape == (34, 7)
    np.testing.assert_allclose(ciede2000(PAIRS[:, :3], PAIRS[:, 3:6]), PAIRS[:, 6], atol=1e-4, rtol=0)


def test_swapping_a_pair_changes_nothing():
    there, back = ciede2000(PAIRS[:, :3], PAIRS[:, 3:6]), ciede2000(PAIRS[:, 3:6], PAIRS[:, :3])
    np.testing.assert_allclose(there, back, atol=1e-12, rtol=0)
