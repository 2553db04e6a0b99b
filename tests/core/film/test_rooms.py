"""What stands on learning and prediction: grid, ladder, bottle, correction, chart, report, repair, next coat."""

from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    Estimate,
    Ground,
    Means,
    PanelStep,
    Trial,
    clear_layer,
    compared,
    correct_recipe,
    corrected_parts,
    depth_against_coverage,
    forgiveness,
    learn_quickly,
    new_bottle,
    next_coat,
    on_shelf,
    predict,
    predicted_grid,
    ratio_ladder,
    reproduction,
    spot_repair,
    target_from_readings,
    worth_spraying,
)


def test_two_panels_worth_spraying_are_two(day):
    booth, _, learned = day
    trials = [Trial(booth.grounds["silver"], {"dye 0": 0.5}, count) for count in (1, 2, 3)]
    found = worth_spraying(learned, trials, trials[:2], "45:0")
    assert len(found) == 2 and found[0].trial is not found[1].trial
    assert worth_spraying(learned, trials, trials[:1], "45:0")[0].after < found[0].before
    assert len(worth_spraying(learned, trials, trials[:1], "45:0")) == 1


def test_a_rung_needs_only_the_dyes_in_it(day):
    booth, _, learned = day
    rungs = ratio_ladder(learned, {"nobody": 1.0}, {"dye 0": 1.0}, booth.grounds["white"], (2,), ["45:0"])
    assert rungs[0].cells[0].predictions and not rungs[0].cells[0].hatched
    assert all(rung.cells[0].hatched for rung in rungs[1:])


def test_grid_hatches_what_rests_on_nothing(day):
    booth, _, learned = day
    strange = Ground("bronze", "metallic", booth.grounds["gold"].readings)
    rows = predicted_grid(learned, {"dye 0": 0.5}, [booth.grounds["white"], strange], (1, 2, 3), ["45:0"])
    assert [len(row) for row in rows] == [3, 3]
    assert all(cell.predictions and not cell.hatched for cell in rows[0])
    assert all(cell.hatched for cell in rows[1])
    unknown = predicted_grid(learned, {"new dye": 0.5}, [booth.grounds["white"]], (1,), ["45:0"])[0][0]
    assert unknown.predictions == ()
    assert "Spray new dye neat" in unknown.hatched


def test_ratio_ladder_from_the_second_alone(day):
    booth, _, learned = day
    rungs = ratio_ladder(learned, {"dye 0": 1.0}, {"brown": 1.0}, booth.grounds["silver"], (2,), ["45:0"])
    assert [(rung.first, rung.second) for rung in rungs] == [(0, 1), (1, 1), (2, 1), (3, 1), (4, 1), (5, 1), (6, 1)]
    assert rungs[0].mix == {"dye 0": 0.0, "brown": 1.0}
    assert rungs[3].mix["dye 0"] == pytest.approx(0.75)
    with pytest.raises(SprayoutError):
        ratio_ladder(learned, {"dye 0": 1.0}, {"brown": 1.0}, booth.grounds["silver"], (2,), ["45:0"], [(0, 0)])


def test_the_first_panel_of_a_shop_is_worth_most(day):
    """A fifth of film more or less is most of what a new shop does not know, and one panel of its own tells it."""
    booth, _, learned = day
    known, new = (
        [Trial(booth.grounds["white"], {"dye 0": 1.0}, coats, shop=shop) for coats in (2, 4)]
        for shop in (next(iter(learned.film)), "a shop never seen")
    )
    takes = [
        1 - one.after / one.before
        for one in (worth_spraying(learned, each, each, "45:0", 1)[0] for each in (known, new))
    ]
    assert takes[1] > 0.8 > 0.5 > takes[0]


def test_the_panels_worth_spraying_narrow_the_grid(day):
    booth, kit, learned = day
    silver, white = booth.grounds["silver"], booth.grounds["white"]
    grid = [Trial(silver, {"dye 0": 0.6, "dye 1": 0.4}, coats) for coats in (1, 2, 3, 4)]
    candidates = [Trial(white, {dye: 1.0}, coats) for dye in booth.dyes for coats in (1, 4)]
    two = worth_spraying(learned, grid, candidates, "45:0")
    assert len(two) == 2
    assert two[1].after < two[0].after < two[0].before
    assert {next(iter(each.trial.mix)) for each in two} <= {"dye 0", "dye 1"}
    # Really spraying it narrows the predictions, as was said.
    best = two[0].trial
    more = learn_quickly(
        [*kit, *booth.spray("worth", "white", best.mix, (int(best.coats),))[0]], coat_scatter=learned.coat_scatter
    )
    before = sum(np.trace(predict(learned, trial, ["45:0"])[0].covariance) for trial in grid)
    after = sum(np.trace(predict(more, trial, ["45:0"])[0].covariance) for trial in grid)
    assert after < before


def test_the_unknown_comes_first(day):
    booth, _, learned = day
    strange = Ground("bronze", "metallic", booth.grounds["gold"].readings)
    grid = [Trial(strange, {"dye 0": 1.0}, 2), Trial(booth.grounds["white"], {"new dye": 1.0}, 2)]
    first, second = worth_spraying(learned, grid, [], "45:0")
    assert "new dye neat" in first.reason
    assert "bronze" in second.reason


def test_forgiveness_in_numbers_and_words(day):
    booth, _, learned = day
    keyed = Ground("keyed", "diffusing", booth.nominal("white", {"dye 0": 1.0}, 3))
    over_white = forgiveness(learned, booth.grounds["white"], {"dye 0": 0.5}, [1, 2, 4], ["45:0"])
    over_keyed = forgiveness(learned, keyed, {"dye 0": 0.5}, [1, 2, 4], ["45:0"])
    assert over_white[0].one_less is None
    assert over_white[1].one_less == pytest.approx(over_white[0].one_more, rel=0.2)
    assert over_white[2].heavy > 0
    assert "one coat more over white" in over_white[1].words
    assert over_keyed[1].one_more < over_white[1].one_more
    assert "over white" in compared(over_keyed[1], over_white[1])
    with pytest.raises(SprayoutError):
        forgiveness(learned, keyed, {"dye 0": 0.5}, [0], ["45:0"])


@pytest.mark.parametrize("true", [1.0, 1.25])
def test_new_bottle(day, true):
    booth, _, learned = day
    new, old = [], []
    for place in range(3):
        new += booth.spray(f"new {place}", "white", {"dye 1": 1.0}, (2,), heavy=true)[0]
        old += booth.spray(f"old {place}", "white", {"dye 1": 1.0}, (2,))[0]
    for beside in ([], old):
        check = new_bottle(learned, "dye 1", new, beside)
        assert check.strength.value == pytest.approx(true, abs=3 * check.strength.uncertainty)
        assert 0.01 < check.strength.uncertainty < 0.06
        assert check.distinguishable == (true != 1.0)
    parts = corrected_parts({"dye 1": 5, "carrier": 10}, "dye 1", check)
    if true == 1.0:
        assert "not distinguishable" in check.words
        assert parts == {"dye 1": 5, "carrier": 10}
    else:
        assert "stronger" in check.words
        assert parts["dye 1"] == pytest.approx(4, abs=0.4)


def test_few_equal_bottles_are_told_apart_and_no_strong_one_is_missed(day):
    """Three panels of each: at twice the uncertainty about one equal bottle in twenty is called another."""
    booth, _, learned = day
    alarms, missed = 0, 0
    for bottle in range(30):
        panels = {"new": [], "old": [], "strong": []}
        for name, heavy in (("new", 1.0), ("old", 1.0), ("strong", 1.15)):
            for place in range(3):
                panels[name] += booth.spray(f"{name} {bottle} {place}", "white", {"dye 1": 1.0}, (2,), heavy=heavy)[0]
        alarms += new_bottle(learned, "dye 1", panels["new"], panels["old"]).distinguishable
        missed += not new_bottle(learned, "dye 1", panels["strong"], panels["old"]).distinguishable
    assert alarms <= 5 and missed <= 2


def test_a_heavy_hand_is_no_strong_bottle(day):
    """A shop known to lay 15 % more film sprays the same bottle; a shop not known at all cannot tell."""
    booth, kit, _ = day
    heavy = [
        replace(step, shop="heavy")
        for dye in booth.dyes
        for step in booth.spray(f"{dye} of the heavy shop", "white", {dye: 1.0}, (1, 2, 4), heavy=1.15)[0]
    ]
    learned = learn_quickly([*kit, *heavy])
    assert learned.film["heavy"].value == pytest.approx(1.15, abs=0.06)
    panels = [booth.spray(f"new {place}", "white", {"dye 1": 1.0}, (2,), heavy=1.15)[0][0] for place in range(3)]
    own = new_bottle(learned, "dye 1", [replace(panel, shop="heavy") for panel in panels])
    assert not own.distinguishable and own.strength.value == pytest.approx(1.0, abs=0.1)
    strange = new_bottle(learned, "dye 1", [replace(panel, shop="strange") for panel in panels])
    assert not strange.distinguishable and strange.strength.uncertainty > 0.15


def test_a_bottle_of_another_hue_is_told(day):
    booth, _, learned = day
    reading = booth.truth("white", 2 * np.roll(booth.dyes["dye 1"], 2), "45:0")
    panel = PanelStep("new", booth.grounds["white"], {"dye 1": 1.0}, 2, "45:0", reading)
    check = new_bottle(learned, "dye 1", [panel])
    assert check.distinguishable
    assert "hue" in check.words
    with pytest.raises(SprayoutError):
        new_bottle(learned, "dye 1", [])


def test_my_shelf_leaves_the_recipe_as_it_is():
    recipe = {"dye 1": 5.0, "carrier": 10.0}
    mine = on_shelf(recipe, {"dye 1": Estimate(1.25, 0.05)})
    assert mine["dye 1"].value == pytest.approx(4.0)
    assert mine["dye 1"].uncertainty == pytest.approx(0.16)
    assert mine["carrier"] == Estimate(10.0, 0.0)
    assert recipe == {"dye 1": 5.0, "carrier": 10.0}
    with pytest.raises(SprayoutError):
        on_shelf(recipe, {"dye 1": Estimate(0.0, 0.1)})


def test_a_sprayed_panel_corrects_the_recipe(day, difference):
    booth, kit, learned = day
    means = Means(tuple(booth.dyes), (booth.grounds["white"], booth.grounds["silver"]), coats=(1, 2, 3, 4), parts=6)
    wanted = booth.nominal("silver", {"dye 2": 0.5}, 3)
    target = target_from_readings(wanted, learned.wavelengths)
    strong = booth.spray("first", "silver", {"dye 2": 0.5}, (3,), heavy=1.1)[0]
    again, found = correct_recipe(learned, kit, strong, target, means)
    row = learned.row("dye 2")
    assert again.absorption[row].sum() > learned.absorption[row].sum()
    assert again.accuracy == learned.accuracy
    assert found[0].difference < 1.0
    with pytest.raises(SprayoutError):
        correct_recipe(learned, kit, [], target, means)


@pytest.fixture(scope="module")
def pearl(layers):
    albedo = {"white": np.full(31, 0.86), "black": np.full(31, 0.04)}
    clear = np.zeros(31)
    kernels = {name: layers.lambert(each) for name, each in albedo.items()}
    grounds = {n: Ground(n, "diffusing", {"45:0": layers.reading(k, clear, "45:0")}) for n, k in kernels.items()}
    blue, haze = layers.band(610, 50, 0.6, 0.005), np.full(31, 0.5)
    steps = []
    for ground, kernel in kernels.items():
        for coats in (1, 2, 4):
            over = layers.over(layers.scattering_layer(coats * 0.01 * np.ones(31), coats * haze, 0.4), kernel)
            reading = layers.reading(over, clear, "45:0")
            steps.append(PanelStep(f"pearl {ground}", grounds[ground], {"pearl": 1.0}, coats, "45:0", reading))
            reading = layers.reading(kernel, coats * blue, "45:0")
            steps.append(PanelStep(f"blue {ground}", grounds[ground], {"blue": 1.0}, coats, "45:0", reading))
    return learn_quickly(steps, scattering=["pearl"]), grounds


def test_depth_against_coverage(pearl):
    learned, grounds = pearl
    chart = depth_against_coverage(
        learned, "blue", "pearl", [(0, 1), (1, 2), (2, 1)], range(1, 9), grounds["white"], grounds["black"], "45:0"
    )
    assert chart.coverage.shape == chart.chroma.shape == (3, 8)
    assert (np.diff(chart.coverage, axis=1) > 0).all()
    assert (np.diff(chart.chroma[:, 1]) > 0).all()
    assert (chart.coverage[:, 1] < 0.9).all()
    with pytest.raises(SprayoutError, match="scattering"):
        depth_against_coverage(learned, "pearl", "blue", [(1, 1)], [1], grounds["white"], grounds["black"], "45:0")


def test_reproduction_finds_the_film(day):
    booth, _, learned = day
    trial = Trial(booth.grounds["silver"], {"dye 0": 0.4, "brown": 0.2}, 3)
    ours = booth.nominal("silver", trial.mix, 3)["45:0"]
    heavy = booth.nominal("silver", trial.mix, 3.6)["45:0"]
    report = reproduction(learned, trial, "45:0", ours, heavy)
    assert report.causes[0].name == "film"
    assert report.causes[0].size == pytest.approx(0.2, abs=0.06)
    assert report.unexplained < 0.3 * report.difference
    assert "less film" in report.advice
    same = reproduction(learned, trial, "45:0", ours, ours)
    assert same.difference == 0
    assert "reproduced" in same.advice


def test_reproduction_finds_ground_bottle_and_meter(day):
    booth, _, learned = day
    trial = Trial(booth.grounds["silver"], {"dye 0": 0.4, "brown": 0.2}, 3)
    ours = booth.nominal("silver", trial.mix, 3)["45:0"]
    theirs = Ground("theirs", "metallic", {"45:0": booth.grounds["silver"].reading("45:0") * np.linspace(0.8, 1.1, 31)})
    tau = 3 * booth.absorption(trial.mix)
    trap = learned.trapping(booth.grounds["silver"], "45:0").value
    over_theirs = (
        ours
        * clear_layer(theirs.reading("45:0"), tau, "45:0", trapping=trap)
        / clear_layer(booth.grounds["silver"].reading("45:0"), tau, "45:0", trapping=trap)
    )
    report = reproduction(learned, trial, "45:0", ours, over_theirs, theirs)
    assert report.causes[0].name == "ground"
    assert report.unexplained < 0.3 * report.difference
    bottle = booth.nominal("silver", {"dye 0": 0.48, "brown": 0.2}, 3)["45:0"]
    report = reproduction(learned, trial, "45:0", ours, bottle)
    size = {cause.name: cause.size for cause in report.causes}
    # One panel cannot tell a strong bottle from a heavy coat wholly; it can tell which of two dyes is the stronger.
    assert size["strength of dye 0"] > 0.03 > size["strength of brown"]
    assert report.unexplained < 0.3 * report.difference
    wrong = reproduction(learned, trial, "45:0", ours, ours[::-1])
    assert "same mix" in wrong.advice


def test_spot_repair_never_promises(day):
    booth, _, learned = day
    one = spot_repair(learned, booth.grounds["silver"], {"dye 0": 1.0}, 3, ["45:0"])
    assert one.fresh > 0 and one.double > one.overlap > 0
    assert "not a promise" in one.words
    assert one.half["45:0"].shape == (3,)
    with pytest.raises(SprayoutError):
        spot_repair(learned, booth.grounds["silver"], {"dye 0": 1.0}, 0, ["45:0"])


def ladders(layers, seed, many):
    """Hand-laid ladders of clear dyes, hazy films and paints with uneven coats."""
    rng = np.random.default_rng(seed)
    wave = layers.WAVE

    def smooth(low, high):
        return low + (high - low) * np.exp(-0.5 * ((wave - rng.uniform(400, 700)) / rng.uniform(30, 80)) ** 2)

    for place in range(many):
        absorbed = smooth(0.02, rng.uniform(0.2, 0.9)) + smooth(0, rng.uniform(0, 0.3))
        low, high, scatter = ((0, 0, 0.05), (0.05, 0.3, 0.12), (0.5, rng.uniform(0.8, 2.5), 0.2))[place % 3]
        scattered = smooth(low, high) + 1e-4
        kernel = layers.solid(np.clip(smooth(rng.uniform(0.03, 0.8), rng.uniform(0.2, 0.85)), 0.03, 0.9))
        film = np.cumsum(1 + scatter * rng.standard_normal(3))
        yield [layers.reading(kernel, np.zeros(31), "45:0")] + [
            np.maximum(
                layers.reading(
                    layers.over(layers.scattering_layer(x * absorbed, x * scattered, 0.4), kernel), 0.0, "45:0"
                )
                + rng.normal(0, 5e-4, 31),
                1e-4,
            )
            for x in film
        ]


@pytest.mark.parametrize("many", [6, pytest.param(90, marks=pytest.mark.long)])
def test_next_coat_beats_no_change_and_the_plain_ratio(layers, difference, many):
    ours, same, ratio = [], [], []
    for ground, one, two, three in ladders(layers, 8081, many):
        ours.append(difference(next_coat(ground, one, two), three))
        same.append(difference(two, three))
        ratio.append(difference(two * two / one, three))
    medians = [f"{np.median(each):.2f}" for each in (ours, ratio, same)]
    print("next coat, median dE00: ours {}, plain ratio {}, no change {}".format(*medians))
    assert np.median(ours) < np.median(ratio) < np.median(same)


def test_next_coat_limits():
    flat = np.full(31, 0.4)
    assert next_coat(flat, flat, flat) == pytest.approx(flat, abs=0.02)
    assert np.isfinite(next_coat(np.zeros(31), np.zeros(31), np.zeros(31))).all()
    assert np.isfinite(next_coat(np.ones(31), np.zeros(31), np.zeros(31))).all()
    assert np.isfinite(next_coat(np.full(31, 0.02), flat, np.full(31, 0.6))).all()
    with pytest.raises(SprayoutError):
        next_coat(flat, flat, np.full(16, 0.4))
