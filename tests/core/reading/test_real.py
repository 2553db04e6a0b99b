import numpy as np
import pytest

from sprayout_core.reading import (
    FALSE_ALARM,
    Measured,
    Repeatability,
    RepeatsError,
    chance,
    is_real,
    repeatability,
    spread,
)

TRIALS = 2000
COVARIANCE = np.array([[0.010, 0.004, 0.000], [0.004, 0.020, 0.003], [0.000, 0.003, 0.040]])
KNOWN = Repeatability(COVARIANCE, np.inf)


def drawn(random, count, scale=1.0):
    return random.multivariate_normal(np.zeros(3), scale * COVARIANCE, (TRIALS, count))


@pytest.mark.parametrize("case", ["known", "estimated", "unequal", "one instrument", "means of three"])
def test_false_alarms_are_5_percent_within_1_point_5(case):
    random = np.random.default_rng(20261125)
    readings, scale = (3 if case == "means of three" else 1), (4.0 if case == "unequal" else 1.0)
    standard, trial = drawn(random, readings).mean(axis=1), drawn(random, readings, scale).mean(axis=1)
    if case == "known":
        ours = theirs = KNOWN
    elif case == "one instrument":
        ours = theirs = repeatability(spread(drawn(random, 8)))
    else:
        ours = repeatability(spread(drawn(random, 10)))
        theirs = repeatability(spread(drawn(random, 12, scale)))
    alarms = chance(Measured(standard, ours, readings), Measured(trial, theirs, readings)) < FALSE_ALARM
    assert abs(alarms.mean() - 0.05) < 0.015


def test_a_difference_that_is_there_is_found():
    random = np.random.default_rng(3)
    ours = Measured(drawn(random, 1)[:, 0], KNOWN)
    shifted = Measured(drawn(random, 1)[:, 0] + (0.8, 0.0, 0.0), KNOWN)
    assert (chance(ours, shifted) < FALSE_ALARM).mean() > 0.95


def test_more_readings_tell_smaller_differences():
    one, other = (40.0, 10.0, 5.0), (40.2, 10.0, 5.0)
    chances = [float(chance(Measured(one, KNOWN, n), Measured(other, KNOWN, n))) for n in (1, 4, 16)]
    assert chances == sorted(chances, reverse=True)


def test_said_in_words():
    far = is_real(Measured((40, 10, 5), KNOWN), Measured((42, 10, 5), KNOWN))
    near = is_real(Measured((40, 10, 5), KNOWN), Measured((40.1, 10, 5), KNOWN))
    assert far.real
    assert str(far) == "a real difference of 2.00 (by chance less than 0.1 %)"
    assert not near.real
    assert str(near).startswith("not to be told apart: 0.10 is within what the instruments scatter")


def test_equal_readings_are_not_different():
    estimated = repeatability(spread(np.random.default_rng(4).normal(0, 0.1, (8, 3))))
    for side in (KNOWN, estimated):
        assert chance(Measured((1, 2, 3), side), Measured((1, 2, 3), side)) == 1.0


def test_refusals():
    few = repeatability(spread(np.random.default_rng(5).normal(0, 1, (3, 3))))
    with pytest.raises(RepeatsError, match="five times"):
        Measured((1, 2, 3), few)
    with pytest.raises(RepeatsError, match="no reading"):
        Measured((1, 2, 3), KNOWN, 0)
    flat = Repeatability(np.diag([0.1, 0.1, 0.0]), 20.0)
    with pytest.raises(RepeatsError, match="do not vary"):
        chance(Measured((1, 2, 3), flat), Measured((1, 2, 4), flat))
