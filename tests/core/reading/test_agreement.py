import numpy as np
import pytest

from sprayout_core.light import ShapeError
from sprayout_core.reading import RepeatsError, agreement

PANELS = np.array([(40, 20, 30), (60, -30, 5), (25, 5, -40), (70, 0, 60), (50, 10, 10), (35, -20, -20)], dtype=float)


def test_a_pure_offset_is_bias_and_no_spread():
    found = agreement(PANELS, np.add(PANELS, (1.0, 0.0, 0.5)))
    np.testing.assert_allclose(found.bias, (1.0, 0.0, 0.5))
    assert found.bias_size == pytest.approx(np.hypot(1, 0.5))
    assert found.spread == pytest.approx(0.0, abs=1e-9)
    assert "lighter" in found.direction.said


def test_pure_scatter_is_spread_and_no_bias():
    scatter = np.array([(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)], dtype=float)
    found = agreement(PANELS, PANELS + scatter)
    np.testing.assert_allclose(found.bias, 0.0, atol=1e-12)
    assert found.spread == pytest.approx(1.0)
    assert found.bias_chance == pytest.approx(1.0)
    assert "no bias to be sure of" in str(found)


def test_bias_under_scatter_is_found_and_told():
    random = np.random.default_rng(6)
    ours = random.uniform(20, 70, (12, 3))
    found = agreement(ours, ours + random.normal((0.0, 0.0, 1.5), 0.2, (12, 3)))
    assert found.bias_chance < 0.001
    assert str(found).startswith("12 shared panels: theirs warmer, toward yellow")
    assert "a real bias" in str(found)


def test_no_bias_is_called_real_in_one_of_twenty():
    random = np.random.default_rng(7)
    panels = random.uniform(20, 70, (600, 8, 3))
    alarms = [agreement(ours, ours + random.normal(0, 0.3, ours.shape)).bias_chance < 0.05 for ours in panels]
    assert abs(np.mean(alarms) - 0.05) < 0.025


def test_the_panel_that_agrees_least_is_named():
    theirs = PANELS.copy()
    theirs[3] += (0, 0, 6)
    found = agreement(PANELS, theirs)
    assert found.worst == 3
    assert "on panel 4" in str(found)


def test_few_panels():
    found = agreement(PANELS[:3], PANELS[:3] + 1.0)
    assert found.bias_chance is None
    assert "too few panels" in str(found)
    with pytest.raises(RepeatsError):
        agreement(PANELS[:1], PANELS[:1])
    with pytest.raises(ShapeError):
        agreement(PANELS, PANELS[:2])
