import numpy as np
import pytest

from sprayout_core.card import MODELS, expand
from sprayout_core.card.models import fitted

RNG = np.random.default_rng(8)
LIGHT = RNG.uniform(0.02, 0.9, (24, 3))
RATIOS = np.abs(LIGHT @ RNG.uniform(0.1, 0.6, (3, 3)) + 0.02 * RNG.standard_normal((24, 3)))


def test_terms_from_the_least_freedom_to_the_most():
    assert [expand(model, LIGHT).shape[1] for model in MODELS] == [3, 4, 6, 6, 7, 9, 13]


def test_root_terms():
    """Worked here: the square roots of the three products of the three channels."""
    terms = expand("root 2", [0.1722481, 0.0917066, 0.06416938])
    assert terms == pytest.approx([0.1722481, 0.0917066, 0.06416938, 0.12568328, 0.07671216, 0.10513350], abs=1e-8)


@pytest.mark.parametrize("model", ["linear", "root 2 held", "root 2", "root 3"])
def test_these_follow_exposure_exactly(model):
    assert expand(model, 1.7 * LIGHT) == pytest.approx(1.7 * expand(model, LIGHT))


def test_noise_below_zero_counts_as_zero():
    assert (expand("root 3", [-0.01, 0.2, 0.3]) == expand("root 3", [0.0, 0.2, 0.3])).all()


@pytest.mark.parametrize("model", [model for model in MODELS if model != "root 2 held"])
def test_left_out_values_are_those_of_real_refits(model):
    _, left_out = fitted(model, LIGHT, RATIOS)
    for place in (0, 7, 23):
        rest = np.arange(24) != place
        coefficients, _ = fitted(model, LIGHT[rest], RATIOS[rest])
        assert expand(model, LIGHT[place]) @ coefficients == pytest.approx(left_out[place], rel=1e-6)


def test_held_terms_lie_between_linear_and_free():
    linear, held, free = (fitted(model, LIGHT, RATIOS)[0] for model in ("linear", "root 2 held", "root 2"))
    assert np.abs(held[3:]).sum() < np.abs(free[3:]).sum()
    assert np.abs(held[3:]).sum() > 0
    assert linear.shape == (3, 3)


def test_more_terms_always_fit_better_which_is_why_that_does_not_count():
    misfits = [
        np.square(expand(model, LIGHT) @ fitted(model, LIGHT, RATIOS)[0] - RATIOS).sum()
        for model in ("linear", "root 2", "root 3")
    ]
    assert misfits == sorted(misfits, reverse=True)
