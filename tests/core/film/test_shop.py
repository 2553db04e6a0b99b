"""A virtual shop: its true optics are hidden, the tool sees panels only and proposes ratio, ground and coats.

`pytest -m long -s tests/core/film/test_shop.py` prints every figure beside its goal. Seeds were never used in tuning.
"""

from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.difference import ciede2000
from sprayout_core.film import (
    CARRIER,
    Means,
    StepCard,
    Trial,
    Written,
    coats_of,
    correct_recipe,
    learn,
    learn_quickly,
    pourable,
    predict,
    predicted_card,
    refine,
    search,
    shares_of,
    target_from_readings,
)

SEED = 9100


def beside_goal(what, figure, goal, least=None):
    held = figure <= goal and (least is None or figure >= least)
    wanted = f"{goal:g}" if least is None else f"{least:g} to {goal:g}"
    print(f"{what:<78} {figure:7.3f}   goal {wanted}   {'reached' if held else 'MISSED'}")
    assert held, what


class Day:
    """A booth, what was learned from its kit, and reachable targets nobody told the tool about."""

    def __init__(self, shops, eye, seed, geometries):
        self.eye, self.booth = eye, shops.Booth(seed, geometries)
        self.kit = self.booth.kit()
        self.learned = learn(self.kit)
        self.means = Means(tuple(self.booth.dyes), tuple(self.booth.grounds.values()))

    def target(self):
        while True:
            ground = str(self.booth.rng.choice(sorted(self.booth.grounds)))
            readings = self.booth.nominal(ground, self.booth.random_mix(), int(self.booth.rng.integers(1, 7)))
            if ground != "black" and min(self.eye.lab(r)[0] for r in readings.values()) > 5:
                return target_from_readings(readings, self.learned.wavelengths), readings

    def sprayed(self, ground, mix, coats):
        return self.booth.spray("trial", ground, mix, (coats,))[0]

    def miss(self, target, steps):
        return float(np.mean([ciede2000(target.colours[s.geometry], self.eye.lab(s.reading)) for s in steps]))


def first_and_corrected(day, count):
    first, second = [], []
    for _ in range(count):
        target, _ = day.target()
        best = search(day.learned, target, day.means, 1)[0]
        steps = day.sprayed(best.ground.name, best.mix, best.coats)
        first.append(day.miss(target, steps))
        _, again = correct_recipe(day.learned, day.kit, steps, target, day.means, 1)
        second.append(day.miss(target, day.sprayed(again[0].ground.name, again[0].mix, again[0].coats)))
    return np.array(first), np.array(second)


def with_true_optics(day, count):
    true = replace(day.learned, absorption=np.array([day.booth.dyes[dye] for dye in day.learned.dyes]))
    found = []
    for _ in range(count):
        target, _ = day.target()
        best = search(true, target, day.means, 1)[0]
        found.append(day.miss(target, day.sprayed(best.ground.name, best.mix, best.coats)))
    return np.array(found)


def naively(day, count):
    """exp(-2 tau) at each angle, absorption from the two-coat step over white, the same candidates."""
    booth = day.booth
    white = booth.grounds["white"]
    absorption = {
        geometry: np.array([
            -np.log(np.maximum(s.reading, 1e-4) / white.reading(geometry)) / 4
            for dye in booth.dyes
            for s in day.kit
            if s.coats == 2 and s.ground.name == "white" and s.geometry == geometry and dye in s.shares
        ])
        for geometry in booth.geometries
    }  # fmt: skip
    shares = shares_of(pourable(len(booth.dyes), 12, 4), day.means)
    found = []
    for _ in range(count):
        target, _ = day.target()
        best = (np.inf, None, None, None)
        for name, ground in booth.grounds.items():
            for coats in range(1, 9):
                gaps = np.mean([
                    ciede2000(
                        target.colours[geometry],
                        day.eye.lab(ground.reading(geometry) * np.exp(-2 * coats * (shares @ absorption[geometry]))),
                    )
                    for geometry in booth.geometries
                ], axis=0)  # fmt: skip
                row = int(np.argmin(gaps))
                if gaps[row] < best[0]:
                    best = (gaps[row], name, shares[row], coats)
        _, name, share, coats = best
        mix = {dye: float(s) for dye, s in zip(booth.dyes, share, strict=True) if s > 0}
        found.append(day.miss(target, day.sprayed(name, mix, coats)))
    return np.array(found)


def test_two_targets(shops, eye):
    """The quick form: a handful of targets cannot show a median, only that nothing is grossly wrong."""
    day = Day(shops, eye, SEED + 50, ("45:0",))
    day.means = replace(day.means, parts=8)
    first, second = first_and_corrected(day, 2)
    beside_goal("virtual shop, two targets, worst first proposal", first.max(), 3.0)
    beside_goal("virtual shop, two targets, worst corrected", second.max(), 2.0)


@pytest.mark.long
@pytest.mark.parametrize("geometry", ["45:0", "di:8"])
def test_two_hundred_targets(shops, eye, geometry):
    first, second, true, naive = [], [], [], []
    for place in range(4):
        day = Day(shops, eye, SEED + place, (geometry,))
        one, two = first_and_corrected(day, 50)
        first.append(one)
        second.append(two)
        true.append(with_true_optics(day, 25))
        naive.append(naively(day, 25))
    first, second, true, naive = (np.concatenate(each) for each in (first, second, true, naive))
    print(
        f"{geometry}: a tool that knows the true optics {np.median(true):.3f}; naive exp(-2 tau) {np.median(naive):.3f}"
    )
    beside_goal(f"virtual shop, {geometry}, 200 targets, first proposal, median", np.median(first), 0.6)
    beside_goal(f"virtual shop, {geometry}, 200 targets, first proposal, p95", np.percentile(first, 95), 2.0)
    beside_goal(f"virtual shop, {geometry}, 200 targets, corrected once, median", np.median(second), 0.4)
    assert np.median(first) < np.median(naive)


@pytest.mark.long
def test_two_hundred_targets_at_five_angles(shops, eye):
    first, second, true, naive = [], [], [], []
    for place in range(4):
        day = Day(shops, eye, SEED + 10 + place, shops.ANGLES)
        one, two = first_and_corrected(day, 50)
        first.append(one)
        second.append(two)
        true.append(with_true_optics(day, 10))
        naive.append(naively(day, 10))
    first, second, true, naive = (np.concatenate(each) for each in (first, second, true, naive))
    print(f"five angles: knowing the true optics {np.median(true):.3f}; naive exp(-2 tau) {np.median(naive):.3f}")
    beside_goal("virtual shop, mean over five angles, 200 targets, first, median", np.median(first), 0.7)
    beside_goal("virtual shop, mean over five angles, 200 targets, first, p95", np.percentile(first, 95), 2.0)
    beside_goal("virtual shop, mean over five angles, 200 targets, corrected once, median", np.median(second), 0.45)
    assert np.median(first) < np.median(naive)


@pytest.mark.parametrize("count", [pytest.param(2, id="quick"), pytest.param(100, id="all", marks=pytest.mark.long)])
def test_a_recipe_corrected_where_it_stands(shops, eye, count):
    """A recipe written a fifth off in one dye and in body: sprayed, corrected in pourable parts, sprayed again."""
    day = Day(shops, eye, SEED + 60, ("45:0",))
    first, second = [], []
    while len(first) < count:
        target, _ = day.target()
        right = search(day.learned, target, day.means, 1)[0]
        dyes = {name: part for name, part in right.parts.items() if name != CARRIER}
        if len(dyes) != 2:
            continue
        one, two = dyes
        wrong = Written(
            {one: 6 * dyes[one], two: 5 * dyes[two]}, right.parts.get(CARRIER, 0), sum(dyes.values()), right.coats
        )
        share = wrong.neat / (wrong.carrier + wrong.neat) / sum(wrong.dyes.values())
        steps = day.sprayed(right.ground.name, {dye: share * part for dye, part in wrong.dyes.items()}, wrong.coats)
        again = learn_quickly([*day.kit, *steps], start=day.learned, coat_scatter=day.learned.coat_scatter)
        means = replace(day.means, dyes=(one, two), coats=(wrong.coats,))
        best = refine(again, target, wrong, right.ground, means)[0]
        first.append(day.miss(target, steps))
        second.append(day.miss(target, day.sprayed(right.ground.name, best.mix, best.written.coats)))
    print(f"a recipe a fifth off: missed by {np.median(first):.2f} before")
    beside_goal("a recipe corrected where it stands, 45:0, median", np.median(second), 0.4 if count > 50 else 1.0)
    assert np.median(second) < np.median(first)


@pytest.mark.long
@pytest.mark.parametrize("geometry", ["45:0", "di:8"])
def test_intervals_hold_over_a_thousand_predictions(shops, eye, geometry):
    inside = []
    for place in range(5):
        day = Day(shops, eye, SEED + 20 + place, (geometry,))
        for _ in range(200):
            ground, mix = str(day.booth.rng.choice(sorted(day.booth.grounds))), day.booth.random_mix()
            coats = int(day.booth.rng.integers(1, 7))
            step = day.sprayed(ground, mix, coats)[0]
            made = predict(day.learned, Trial(day.booth.grounds[ground], mix, coats), [geometry])[0]
            inside.append(float(ciede2000(made.lab, eye.lab(step.reading))) <= made.interval)
    beside_goal(f"95 % intervals, {geometry}, 1,000 predictions, share held", np.mean(inside), 0.98, least=0.92)


@pytest.mark.parametrize("days", [1, pytest.param(8, marks=pytest.mark.long)])
def test_coat_finder(shops, days):
    counted, really, held = [], [], []
    for place in range(days):
        booth = shops.Booth(SEED + 40 + place)
        learned = learn_quickly(booth.kit())
        done = 0
        while done < 25:
            ground, mix = str(booth.rng.choice(sorted(set(booth.grounds) - {"black"}))), booth.random_mix()
            base = booth.grounds[ground].reading("45:0")
            four = booth.nominal(ground, mix, 4)["45:0"]
            if np.abs(np.log(four / base)).max() < 0.5:
                continue  # a tint so weak that coats do not show
            done += 1
            steps, film = booth.spray("card", ground, mix, (1, 2, 3, 4, 5, 6))
            card = StepCard([0.0, *film.values()], np.stack([base, *(step.reading for step in steps)]))
            coats = int(booth.rng.integers(1, 6))
            piece, laid = booth.spray("piece", ground, mix, (coats,))
            really.append(abs(coats_of(card, piece[0].reading, 5e-4).coats - laid[coats]))
            predicted = predicted_card(learned, Trial(booth.grounds[ground], mix, 4), "45:0", 6)
            answer = coats_of(predicted, piece[0].reading, 5e-4)
            counted.append(abs(answer.coats - coats))
            held.append(answer.low <= coats <= answer.high)
    beside_goal("coat finder, against coats counted, median", np.median(counted), 0.1)
    beside_goal("coat finder, against coats counted, p95", np.percentile(counted, 95), 0.3)
    beside_goal("coat finder, against the film really there, median", np.median(really), 0.01)
    beside_goal("coat finder, against the film really there, p95", np.percentile(really, 95), 0.04)
    assert np.mean(held) >= 0.8
