import numpy as np
import pytest

from sprayout_core.card import Rect, fit_light

SIZE = (210.0, 297.0)
X, Y = (axis.ravel() for axis in np.meshgrid(np.linspace(6, 204, 14), np.linspace(6, 291, 20)))
PLACES = np.stack([X, Y], axis=-1)
PAPER = np.zeros(len(X), dtype=int)


def _levels(light, noise=0.002, seed=0):
    rng = np.random.default_rng(seed)
    return light[:, np.newaxis] * [0.8, 0.7, 0.6] * (1 + noise * rng.standard_normal((len(light), 3)))


def _vignette(x, y):
    return (1 + 0.1 * ((x / 105 - 1) ** 2 + (y / 148.5 - 1) ** 2)) ** -2 * np.exp(0.1 * (x / 105 - 1))


def test_falling_light_is_evened_out():
    """The light is no polynomial: cos^4-like fall and a lamp at one side."""
    field = fit_light(PLACES, _levels(_vignette(X, Y)), PAPER, SIZE)
    true = _vignette(X, Y)[:, np.newaxis] * [0.8, 0.7, 0.6]
    assert np.abs(field.level(PLACES) / true - 1).max() < 0.01
    assert field.residual < 0.01
    assert field.weakest == pytest.approx(_vignette(X, Y).min() / _vignette(X, Y).max(), abs=0.02)


def test_even_light_is_taken_as_even():
    field = fit_light(PLACES, _levels(np.ones(len(X))), PAPER, SIZE)
    assert field.degree == 0
    assert field.weakest == 1.0


def test_a_printed_grey_helps_whatever_its_grey_is():
    """Paper on the left half only; on the right a strip of one unknown grey tells how the light goes on."""
    light = _vignette(X, Y)
    inks = np.where(X > 100, 1, 0)
    field = fit_light(PLACES, _levels(light) * np.where(inks, 0.21, 1.0)[:, np.newaxis], inks, SIZE)
    true = light[:, np.newaxis] * [0.8, 0.7, 0.6]
    assert np.abs(field.level(PLACES) / true - 1).max() < 0.03


def test_strays_are_left_out():
    levels = _levels(_vignette(X, Y))
    levels[::15] *= 0.4  # a piece lies there, or dust
    field = fit_light(PLACES, levels, PAPER, SIZE)
    true = _vignette(X, Y)[:, np.newaxis] * [0.8, 0.7, 0.6]
    assert np.abs(field.level(PLACES) / true - 1).max() < 0.02


def test_a_hard_shadow_shows_as_residual():
    shadow = np.where(X + 0.3 * Y > 150, 1.0, 0.7)
    assert fit_light(PLACES, _levels(shadow), PAPER, SIZE).residual > 0.06


def test_the_level_over_an_area_is_that_of_its_middles():
    field = fit_light(PLACES, _levels(_vignette(X, Y)), PAPER, SIZE)
    over = field.over(Rect(20, 134, 170, 30), 5, 2)
    middles = [[20 + 34 * (i + 0.5), 134 + 15 * (j + 0.5)] for j in range(2) for i in range(5)]
    assert over == pytest.approx(field.level(middles))


def test_few_squares_get_a_plain_field():
    few = slice(0, 8)
    assert fit_light(PLACES[few], _levels(np.ones(8)), PAPER[few], SIZE).degree == 0
