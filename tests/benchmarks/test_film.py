"""How fast the film is: prediction beside one exp, search, learning, a second grid. Never judged."""

import time

import numpy as np
import pytest

from sprayout_core.film import (
    Ground,
    Means,
    PanelStep,
    clear_layer,
    learn,
    learn_quickly,
    predict_readings,
    search,
    target_from_readings,
)

pytestmark = pytest.mark.benchmark

BANDS = 31
WAVE = np.arange(400.0, 701.0, 10.0)


def best_of(count, work):
    times = []
    for _ in range(count):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def dyes(rng, count):
    centre, width = rng.uniform(430, 660, (count, 1)), rng.uniform(30, 60, (count, 1))
    return 0.005 + rng.uniform(0.2, 0.8, (count, 1)) * np.exp(-0.5 * ((WAVE - centre) / width) ** 2)


def panels(rng, count, names, spectra):
    """One-step panels over white, black and a silver, film scattered by 5 % a coat."""
    levels = {"white": ("diffusing", 0.75), "black": ("diffusing", 0.02), "silver": ("metallic", 0.6)}
    grounds = {n: Ground(n, kind, {"45:0": np.full(BANDS, level)}) for n, (kind, level) in levels.items()}
    trapping = {"white": 1.0, "black": 1.0, "silver": 0.12}
    for place in range(count):
        ground = grounds[("white", "black", "silver")[place % 3]]
        chosen = rng.choice(len(names), rng.integers(1, 3), replace=False)
        share = rng.dirichlet(np.ones(chosen.size + 1))[:-1]
        coats = int(rng.integers(1, 6))
        film = coats * (1 + 0.05 * rng.standard_normal() / np.sqrt(coats))
        tau = film * (share @ spectra[chosen])
        reading = clear_layer(ground.reading("45:0"), tau, "45:0", trapping=trapping[ground.name])
        mix = {names[k]: float(s) for k, s in zip(chosen, share, strict=True)}
        noisy = np.maximum(reading + 3e-4 * rng.standard_normal(BANDS), 0)
        yield PanelStep(f"panel {place}", ground, mix, coats, "45:0", noisy)


@pytest.fixture(scope="module")
def learned():
    rng = np.random.default_rng(1)
    names = ["one", "two", "three", "four"]
    return learn_quickly(list(panels(rng, 60, names, dyes(rng, 4))))


@pytest.mark.parametrize("geometry", ["45:0", "di:8"])
def test_prediction_of_ten_thousand_panels(learned, geometry, figure):
    rng = np.random.default_rng(2)
    ground = rng.uniform(0.2, 0.9, (10_000, BANDS))
    mix = rng.dirichlet(np.ones(5), 10_000)[:, :4]
    coats = rng.integers(1, 9, 10_000).astype(float)
    trapping = rng.uniform(0.05, 1.0, (10_000, 1))
    tau = (mix * coats[:, None]) @ learned.absorption
    one = best_of(9, lambda: np.exp(-tau))
    whole = best_of(5, lambda: predict_readings(learned, ground, mix, coats, geometry, trapping))
    plain = best_of(5, lambda: predict_readings(learned, ground, mix, coats, geometry))
    beside = f"one exp {1e3 * one:.1f} ms; diffusing grounds {plain / one:.1f} times"
    figure(f"prediction of 10,000 panels of 31 bands, {geometry}", whole / one, "times one exp", beside, "at most 15")


def test_search_of_a_quarter_million(learned, figure):
    rng = np.random.default_rng(3)
    grounds = tuple(
        Ground(f"ground {k}", "diffusing", {"45:0": rng.uniform(0.2, 0.9) * np.ones(BANDS)}) for k in range(5)
    )
    means = Means(learned.dyes, grounds)
    wanted = predict_readings(
        learned, grounds[1].reading("45:0"), np.array([0.3, 0.1, 0.0, 0.2]), np.array(3.0), "45:0"
    )
    target = target_from_readings({"45:0": wanted}, WAVE)
    seconds = best_of(3, lambda: search(learned, target, means))
    figure("search: 4 dyes x 5 grounds x 1 to 8 coats, ratios to 12 parts", seconds, "s", "", "at most 2")


def test_learning_from_a_thousand_panels(figure):
    rng = np.random.default_rng(4)
    names = [f"dye {k}" for k in range(8)]
    steps = list(panels(rng, 1000, names, dyes(rng, 8)))
    seconds = best_of(1, lambda: learn(steps))
    figure("learning from 1,000 panels of 8 dyes, with leave-one-out", seconds, "s", "", "at most 10")


def step_cards(rng, count, names, spectra):
    """Step cards of 1, 2 and 4 coats over white, black and a silver; the coats of a card share their errors."""
    for place, whole in enumerate(panels(rng, count, names, spectra)):
        laid = 1 + 0.05 * rng.standard_normal(4)
        for coats in (1, 2, 4):
            tau = laid[:coats].sum() * sum(share * spectra[names.index(dye)] for dye, share in whole.shares.items())
            trapping = {"white": 1.0, "black": 1.0, "silver": 0.12}[whole.ground.name]
            reading = clear_layer(whole.ground.reading("45:0"), tau, "45:0", trapping=trapping)
            noisy = np.maximum(reading + 3e-4 * rng.standard_normal(BANDS), 0)
            yield PanelStep(f"card {place}", whole.ground, whole.shares, coats, "45:0", noisy)


def test_learning_from_a_thousand_step_cards(figure):
    rng = np.random.default_rng(5)
    names = [f"dye {k}" for k in range(8)]
    steps = list(step_cards(rng, 1000, names, dyes(rng, 8)))
    seconds = best_of(1, lambda: learn(steps))
    figure("learning from 1,000 step cards, 3,000 readings, 8 dyes, with leave-one-out", seconds, "s", "", "at most 10")


def test_a_second_grid(tmp_path, monkeypatch, figure):
    """A library of 243 step cards: learned once, then known."""
    from tests.library.film.pearl_shop import make, multiplied

    from sprayout_library.film.knowing import known
    from sprayout_library.store import Store

    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    with Store.open(make(tmp_path)) as store:
        multiplied(store, 40)
        first = best_of(1, lambda: known(store))
        second = best_of(3, lambda: known(store))
    figure("what 246 panels teach, asked again", first / second, "times quicker", f"{first:.2f} s, then {second:.3f} s")
