from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.film import Ground, Trial, ground_from_bare, predict, predict_readings
from sprayout_core.film.colour import difference_metric, radius_95


def test_a_prediction_says_what_it_rests_on(day, difference):
    booth, _, learned = day
    mix = {"dye 0": 0.4, "brown": 0.2}
    made = predict(learned, Trial(booth.grounds["silver"], mix, 3), ["45:0"])[0]
    assert difference(made.reading, booth.nominal("silver", mix, 3)["45:0"]) < 1.0
    assert made.rests_on == {"dye 0": 2, "brown": 4}
    assert 0.2 < made.expected < made.interval < 5


def test_batched_and_single_predictions_agree(day):
    booth, _, learned = day
    ground = booth.grounds["silver"]
    single = predict(learned, Trial(ground, {"dye 1": 0.5}, 2), ["45:0"])[0].reading
    table = learned.shares([{"dye 1": 0.5}, {"dye 2": 1.0}])
    many = predict_readings(
        learned, ground.reading("45:0"), table, np.array([2.0, 1.0]), "45:0", learned.trapped(ground, "45:0")
    )
    assert many[0] == pytest.approx(single, abs=1e-12)


def test_no_coats_is_the_ground(day):
    booth, _, learned = day
    made = predict(learned, Trial(booth.grounds["gold"], {"dye 1": 0.5}, 0), ["45:0"])[0]
    assert made.reading == pytest.approx(booth.grounds["gold"].reading("45:0"), abs=1e-12)


def test_what_rests_on_nothing_is_refused_with_the_panel_to_spray(day):
    booth, _, learned = day
    with pytest.raises(SprayoutError, match="Spray unknown neat in 1, 2 and 4 coats over white and black"):
        predict(learned, Trial(booth.grounds["white"], {"unknown": 1.0}, 2), ["45:0"])
    with pytest.raises(SprayoutError, match="Measure it cleared in di:8"):
        predict(learned, Trial(booth.grounds["white"], {"brown": 1.0}, 2), ["di:8"])
    with pytest.raises(SprayoutError):
        predict(learned, Trial(booth.grounds["white"], {"brown": 1.2}, 2), ["45:0"])
    with pytest.raises(SprayoutError, match="um"):
        predict(learned, Trial(booth.grounds["white"], {"brown": 1.0}, 2, film_um=20.0), ["45:0"])


def test_an_uncalibrated_metallic_ground_is_wide_and_says_why(day):
    booth, _, learned = day
    known = booth.grounds["silver"]
    strange = Ground("bronze", "metallic", known.readings)
    narrow = predict(learned, Trial(known, {"dye 0": 1.0}, 3), ["45:0"])[0]
    wide = predict(learned, Trial(strange, {"dye 0": 1.0}, 3), ["45:0"])[0]
    assert wide.interval > 2 * narrow.interval
    assert any("two coats" in note for note in wide.notes)


def test_extrapolation_and_conversion_are_told(day):
    booth, _, learned = day
    made = predict(learned, Trial(booth.grounds["white"], {"dye 0": 1.0}, 7), ["45:0"])[0]
    assert any("extrapolation" in note for note in made.notes)
    bare = ground_from_bare("primer", "diffusing", {"45:0": np.full(31, 0.5)})
    made = predict(learned, Trial(bare, {"dye 0": 1.0}, 2), ["45:0"])[0]
    assert any("converted" in note for note in made.notes)


def test_more_uncertain_shops_get_wider_intervals(day):
    booth, _, learned = day
    trial = Trial(booth.grounds["white"], {"dye 0": 0.5}, 3)
    home = predict(learned, trial, ["45:0"])[0].interval
    assert predict(learned, replace(trial, shop="stranger"), ["45:0"])[0].interval > 1.5 * home


def test_radius_against_samples():
    rng = np.random.default_rng(1)
    for variances in ([1, 0, 0], [1, 1, 1], [4, 1, 0.2], [1, 0.01, 0.001]):
        sample = rng.normal(size=(200_000, 3)) * np.sqrt(variances)
        truth = np.percentile(np.sqrt(np.sum(sample**2, axis=1)), 95)
        assert radius_95(np.array(variances, float)) == pytest.approx(truth, rel=0.03)
    assert radius_95(np.zeros(3)) == 0


def test_metric_is_the_difference_nearby():
    from sprayout_core.difference import ciede2000

    rng = np.random.default_rng(2)
    for colour in ([50, 20, -30], [30, -5, 2], [70, 0.1, 60], [10, 30, 10]):
        metric = difference_metric(np.array(colour, float))
        for step in rng.normal(size=(5, 3)) * 0.05:
            exact = float(ciede2000(colour, colour + step))
            assert np.sqrt(step @ metric @ step) == pytest.approx(exact, rel=0.05, abs=1e-3)
