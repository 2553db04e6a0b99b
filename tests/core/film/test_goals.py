"""The accuracy goals, each figure printed beside its goal: `pytest -m long -s tests/core/film/test_goals.py`.

The truth is independent layer physics (adding-doubling; Monte-Carlo flake beds for angles). Seeds here were never
used for tuning the model's constants.
"""

from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.film import Ground, PanelStep, Trial, learn_quickly, predict

SEEDS = (2011, 2012, 2013)
ALL = [pytest.param(1, id="quick"), pytest.param(6, id="all", marks=pytest.mark.long)]


def beside_goal(what, figure, goal):
    print(f"{what:<72} {figure:7.3f}   goal {goal:g}   {'reached' if figure <= goal else 'MISSED'}")
    assert figure <= goal, what


class Bench:
    """Exact panels of random dyes over chosen grounds; no coat scatter, an instrument's noise."""

    def __init__(self, shops, seed, geometry):
        self.shop = shops.Booth(seed, geometry if isinstance(geometry, tuple) else (geometry,), scatter=0.0)
        self.geometries = self.shop.geometries
        rng = np.random.default_rng(seed + 1)
        tan = 0.2 + 0.4 / (1 + np.exp(-(shops.WAVE - rng.uniform(520, 580)) / 30))
        self.shop._kernel["tan"] = shops.layers.solid(tan)
        readings = {g: self.shop.truth("tan", np.zeros(31), g) for g in self.geometries}
        self.shop.grounds["tan"] = Ground("tan", "diffusing", readings)

    def panels(self, ground, mix, coats):
        return self.shop.spray(f"{mix} over {ground}", ground, mix, coats)[0]

    def learned(self, steps):
        return learn_quickly(steps, coat_scatter={"": 0.02})

    def errors(self, difference, learned, ground, mix, coats, geometry=None):
        found = []
        for count in coats:
            truth = self.shop.nominal(ground, mix, count)
            for name in [geometry] if geometry else self.geometries:
                made = predict(learned, Trial(self.shop.grounds[ground], mix, count), [name])[0]
                found.append(float(difference(made.reading, truth[name])))
        return found


def benches(shops, geometry, many):
    return [Bench(shops, SEEDS[k % 3] + 100 * k, geometry) for k in range(many)]


@pytest.mark.parametrize("many", ALL)
@pytest.mark.parametrize("geometry", ["45:0", "di:8"])
def test_same_ground(shops, difference, geometry, many):
    third, sixth = [], []
    for bench in benches(shops, geometry, many):
        for ground in ("white", "tan", "silver"):
            for dye in bench.shop.dyes:
                learned = bench.learned(bench.panels(ground, {dye: 1.0}, (1, 2, 4)))
                third += bench.errors(difference, learned, ground, {dye: 1.0}, (3,))
                sixth += bench.errors(difference, learned, ground, {dye: 1.0}, (6,))
    beside_goal(f"same ground, {geometry}, coat 3 mean", np.mean(third), 0.15)
    beside_goal(f"same ground, {geometry}, coat 6 mean", np.mean(sixth), 0.5)
    beside_goal(f"same ground, {geometry}, coat 6 max", np.max(sixth), 1.0)


@pytest.mark.parametrize("many", ALL)
@pytest.mark.parametrize("geometry", ["45:0", "di:8"])
def test_diffusing_to_diffusing(shops, difference, geometry, many):
    errors = []
    for bench in benches(shops, geometry, many):
        for dye in bench.shop.dyes:
            learned = bench.learned(bench.panels("white", {dye: 1.0}, (1, 2, 4)))
            for ground in ("black", "grey", "tan"):
                errors += bench.errors(difference, learned, ground, {dye: 1.0}, (1, 2, 3, 4, 6))
    beside_goal(f"white to other diffusing grounds, {geometry}, mean", np.mean(errors), 0.9)
    beside_goal(f"white to other diffusing grounds, {geometry}, p95", np.percentile(errors, 95), 1.2)


@pytest.mark.parametrize("many", ALL)
@pytest.mark.parametrize("geometry", ["45:0", "di:8"])
def test_metallic_with_one_calibration_panel_and_mixes(shops, difference, geometry, many):
    single, on_diffusing, on_metallic = [], [], []
    for bench in benches(shops, geometry, many):
        steps = [step for dye in bench.shop.dyes for step in bench.panels("white", {dye: 1.0}, (1, 2, 4))]
        for metal in ("silver", "gold"):
            steps += bench.panels(metal, {"brown": 1.0}, (2,))
        learned = bench.learned(steps)
        mixes = [bench.shop.random_mix() for _ in range(8)]
        mixes = [mix for mix in mixes if len(mix) > 1]
        for metal in ("silver", "gold"):
            for dye in ("dye 0", "dye 1", "dye 2"):
                single += bench.errors(difference, learned, metal, {dye: 1.0}, (1, 2, 3, 4, 6))
            for mix in mixes:
                on_metallic += bench.errors(difference, learned, metal, mix, (2, 4))
        for mix in mixes:
            on_diffusing += bench.errors(difference, learned, "white", mix, (1, 2, 3, 4))
    beside_goal(f"metallic with one calibration panel, {geometry}, mean", np.mean(single), 0.6)
    beside_goal(f"metallic with one calibration panel, {geometry}, p95", np.percentile(single, 95), 1.0)
    beside_goal(f"mixes on the diffusing ground learned on, {geometry}, mean", np.mean(on_diffusing), 0.2)
    beside_goal(f"mixes on metallic grounds, {geometry}, mean", np.mean(on_metallic), 0.8)


@pytest.mark.parametrize("many", ALL)
@pytest.mark.parametrize("geometry", ["45:0", "di:8"])
def test_metallic_without_calibration_is_covered(shops, difference, geometry, many):
    inside = []
    for bench in benches(shops, geometry, many):
        steps = [step for dye in bench.shop.dyes for step in bench.panels("white", {dye: 1.0}, (1, 2, 4))]
        learned = bench.learned(steps)
        for metal in ("silver", "gold"):
            for dye in bench.shop.dyes:
                for coats in (1, 2, 4):
                    trial = Trial(bench.shop.grounds[metal], {dye: 1.0}, coats)
                    made = predict(learned, trial, [geometry])[0]
                    truth = bench.shop.nominal(metal, {dye: 1.0}, coats)[geometry]
                    inside.append(float(difference(made.reading, truth)) <= made.interval)
                    assert any("calibrated" in note for note in made.notes)
    beside_goal(f"metallic without calibration, {geometry}, share outside interval", 1 - np.mean(inside), 0.05)


@pytest.mark.parametrize("many", ALL)
def test_aspecular_angles(shops, difference, many):
    errors = {angle: [] for angle in shops.ANGLES}
    for bench in benches(shops, shops.ANGLES, many):
        steps = [step for dye in bench.shop.dyes for step in bench.panels("white", {dye: 1.0}, (1, 2, 4))]
        for metal in ("silver", "gold"):
            steps += bench.panels(metal, {"brown": 1.0}, (2,))
        learned = bench.learned(steps)
        for metal in ("silver", "gold"):
            for dye in ("dye 0", "dye 1", "dye 2"):
                for angle in shops.ANGLES:
                    errors[angle] += bench.errors(difference, learned, metal, {dye: 1.0}, (1, 2, 4), angle)
    for angle, found in errors.items():
        beside_goal(f"one calibration dye, {angle}, mean", np.mean(found), 0.8 if angle == "45as110" else 0.5)


def hazy_films(layers, rng):
    """From faint haze to a hiding pearl: absorption and scattering optical thickness of a coat, asymmetry."""
    level = {"faint haze": 0.05, "haze": 0.15, "pearl": 0.35, "milky": 0.7, "hiding": 1.2}
    for name, amount in level.items():
        absorbed = 0.008 + layers.band(rng.uniform(440, 660), rng.uniform(35, 60), rng.uniform(0.2, 0.5))
        yield name, absorbed, amount * (550 / layers.WAVE) ** rng.uniform(0.2, 1.2), rng.uniform(0.25, 0.55)


@pytest.mark.parametrize(
    ("geometry", "many"),
    [
        pytest.param("45:0", 1, id="quick"),
        pytest.param("45:0", 6, id="45:0-all", marks=pytest.mark.long),
        pytest.param("di:8", 6, id="di:8-all", marks=pytest.mark.long),
    ],
)
def test_hazy_films(layers, difference, geometry, many):
    rng = np.random.default_rng(3030)
    clear = np.zeros(31)
    albedo = {"white": 0.86 * np.ones(31), "black": 0.04 * np.ones(31), "grey": 0.3 * np.ones(31)}
    albedo["tan"] = 0.2 + 0.4 / (1 + np.exp(-(layers.WAVE - 550) / 30))
    kernels = {name: layers.solid(value) for name, value in albedo.items()}
    grounds = {
        name: Ground(name, "diffusing", {geometry: layers.reading(k, clear, geometry)}) for name, k in kernels.items()
    }
    both, elsewhere = [], []
    for _ in range(many):
        for _, absorbed, scattered, g in hazy_films(layers, rng):
            coat = {n: layers.scattering_layer(n * absorbed, n * scattered, g) for n in (1, 2, 3, 4, 6)}

            def read(ground, coats, coat=coat):
                return layers.reading(layers.over(coat[coats], kernels[ground]), clear, geometry)

            steps = [
                PanelStep(f"film over {ground}", grounds[ground], {"film": 1.0}, coats, geometry, read(ground, coats))
                for ground in ("white", "black")
                for coats in (1, 2, 4)
            ]
            learned = learn_quickly(steps, scattering=["film"], coat_scatter={"": 0.02})
            for ground in grounds:
                for coats in (1, 2, 3, 4, 6):
                    made = predict(learned, Trial(grounds[ground], {"film": 1.0}, coats), [geometry])[0]
                    error = float(difference(made.reading, read(ground, coats)))
                    (both if ground in ("white", "black") else elsewhere).append(error)
    beside_goal(f"hazy films, {geometry}, over white and black, p95", np.percentile(both, 95), 0.5)
    beside_goal(f"hazy films, {geometry}, over other grounds, p95", np.percentile(elsewhere, 95), 1.3)


def test_widened_where_a_class_was_never_left_out(shops):
    """An unseen class of paint gets a wider interval, and is told so."""
    from sprayout_core.film import Widening

    shop = shops.Booth(5)
    learned = learn_quickly(shop.kit())
    learned = replace(learned, widening={("", "diffusing"): Widening(1.2, 20)})
    trial = Trial(shop.grounds["white"], {"dye 0": 1.0}, 2)
    known = predict(learned, trial, ["45:0"])[0]
    unseen = predict(learned, replace(trial, paint="solid"), ["45:0"])[0]
    assert unseen.interval == pytest.approx(1.5 * known.interval)
    assert any("ever left out" in note for note in unseen.notes)
