from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.card import CardRefused, Refusal, choose_model
from sprayout_core.difference import ciede2000
from sprayout_core.light import lab

ONES = np.ones(3)
MIX = np.array([[0.5, 0.35, 0.1], [0.25, 0.65, 0.1], [0.02, 0.1, 0.9]])


def _patches(count, seed, bend=0.0, noise=0.0):
    """Light of patches and their CIELAB; `bend` is what a linear model cannot follow."""
    rng = np.random.default_rng(seed)
    light = rng.uniform(0.03, 0.85, (count, 3))
    ratios = light @ MIX.T + bend * np.sqrt(light[:, [0]] * light[:, [2]]) * [0.3, -0.2, 0.2]
    return light, lab(np.maximum(ratios * (1 + noise * rng.standard_normal((count, 3))), 1e-4), ONES)


def test_a_linear_camera_is_given_the_linear_model():
    light, colours = _patches(24, 1, noise=0.02)
    model = choose_model({"as it is": light}, colours)
    assert model.model == "linear"
    assert [trial.verdict for trial in model.trials].count("taken") == 1


def test_what_bends_is_given_a_richer_model():
    light, colours = _patches(40, 2, bend=0.5, noise=0.005)
    assert choose_model({"as it is": light}, colours).model in {"root 2", "root 2 held"}


def test_a_richer_model_that_only_fits_better_is_refused():
    light, colours = _patches(20, 3, noise=0.05)
    model = choose_model({"as it is": light}, colours)
    richest = next(trial for trial in model.trials if trial.model == "root 3")
    taken = next(trial for trial in model.trials if trial.verdict == "taken")
    assert richest.fit_mean < taken.fit_mean
    assert richest.left_out_mean > taken.left_out_mean
    assert "against" in richest.verdict


def test_the_wrong_tone_curve_is_seen():
    light, colours = _patches(24, 4, noise=0.01)
    model = choose_model({"bent": light**0.45, "straight": light}, colours)
    assert model.curve == "straight"
    assert {trial.verdict for trial in model.trials if trial.curve == "bent"} == {"not this picture's tone curve"}


@pytest.mark.parametrize("count", [0, 1, 11])
def test_too_few_patches_are_refused(count):
    light, colours = _patches(count, 5)
    with pytest.raises(CardRefused) as told:
        choose_model({"as it is": light}, colours)
    assert told.value.reason is Refusal.TOO_FEW_REFERENCES


def test_models_with_too_many_terms_for_the_patches_are_not_tried():
    light, colours = _patches(12, 6)
    assert max(trial.terms for trial in choose_model({"as it is": light}, colours).trials) == 7


def test_the_interval_comes_from_left_out_errors():
    light, colours = _patches(24, 7, noise=0.05)
    model = choose_model({"as it is": light}, colours)
    nearest = [min(ciede2000(one, other) for other in np.delete(colours, place, axis=0))
               for place, one in enumerate(colours)]  # fmt: skip
    scaled = model.left_out / np.sqrt(1 + (np.array(nearest) / 20) ** 2)
    assert model.width == pytest.approx(3.5 * np.sqrt((scaled**2).mean()))


def test_the_interval_grows_with_the_distance_from_known_colours():
    light, colours = _patches(24, 7, noise=0.05)
    model = choose_model({"as it is": light}, colours)
    assert model.interval(colours) == pytest.approx(np.full(24, model.width))
    far = np.array([[[12.0, 60.0, -90.0], colours[0]]])
    apart = ciede2000(far[0, 0], colours).min()
    assert apart > 10
    assert model.interval(far) == pytest.approx(model.width * np.array([[np.sqrt(1 + (apart / 20) ** 2), 1.0]]))
    # a model made before known colours were kept with it
    assert (replace(model, known=np.empty((0, 3))).interval(far) == model.width).all()


def test_few_patches_give_a_wider_interval():
    widths = [
        np.mean([choose_model({"a": light}, colours).width / choose_model({"a": light}, colours).left_out.mean()
                 for light, colours in (_patches(count, seed, noise=0.05) for seed in range(10))])
        for count in (12, 24)
    ]  # fmt: skip
    assert widths[0] > 1.1 * widths[1]


def test_the_interval_holds_for_patches_never_seen():
    inside = []
    for seed in range(30):
        light, colours = _patches(24, 100 + seed, bend=0.1, noise=0.03)
        model = choose_model({"as it is": light}, colours)
        other, truth = _patches(40, 900 + seed, bend=0.1, noise=0.03)
        guess = model.lab(other)
        inside.append(ciede2000(truth, guess) <= model.interval(guess))
    assert 0.92 <= np.mean(inside) <= 1.0
