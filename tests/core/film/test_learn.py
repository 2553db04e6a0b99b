from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.errors import FaultsError, SprayoutError
from sprayout_core.film import Ground, PanelStep, learn, learn_quickly, two_flux


def test_strengths_trapping_and_accuracy_come_back(day, difference):
    booth, _, learned = day
    for row, dye in enumerate(learned.dyes):
        strength = learned.absorption[row] @ booth.dyes[dye] / (booth.dyes[dye] @ booth.dyes[dye])
        # Two panels of four coats each with 5 % per coat: about 2 % is all that can be known.
        assert abs(strength - 1) < 4 * learned.strength_uncertainty(row)
        assert 0.005 < learned.strength_uncertainty(row) < 0.04
    for metal in ("silver", "gold"):
        estimate = learned.trapping(booth.grounds[metal], "45:0")
        assert 0.02 < estimate.value < 0.6
        assert estimate.uncertainty < 0.4 * estimate.value
    assert learned.accuracy.panels == 8
    assert learned.accuracy.refits == 4
    assert learned.accuracy.mean < 1.0
    # The linearised leave-one-out agrees with fits that really were repeated.
    assert learned.accuracy.refit_gap < 0.25
    assert not learned.suspects


def test_a_bad_panel_is_named_and_hardly_counts(day):
    booth, kit, learned = day
    spoilt = [replace(step, reading=step.reading[::-1]) if step.panel == "dye 0 over white" else step for step in kit]
    found = learn_quickly(spoilt)
    assert "dye 0 over white" in {suspect.panel for suspect in found.suspects}
    row = found.row("dye 0")
    kept = found.absorption[row] @ booth.dyes["dye 0"] / (booth.dyes["dye 0"] @ booth.dyes["dye 0"])
    assert kept == pytest.approx(1, abs=0.15)
    assert found.absorption[found.row("brown")] == pytest.approx(learned.absorption[learned.row("brown")], abs=0.02)


def test_a_shop_with_a_heavy_hand_gets_its_factor(day, shops):
    booth, kit, _ = day
    steps = list(kit)
    for dye in booth.dyes:
        for step in booth.spray(f"{dye} there", "white", {dye: 1.0}, (1, 2, 4), heavy=1.2)[0]:
            steps.append(replace(step, shop="there"))
    learned = learn_quickly(steps)
    assert learned.of_film("").value == 1.0
    there = learned.of_film("there")
    assert there.value == pytest.approx(1.2, abs=3 * there.uncertainty)
    assert there.uncertainty < 0.06
    assert learned.of_film("never seen").uncertainty == 0.2


def test_film_measured_wins_over_coats_counted(shops):
    booth = shops.Booth(31, scatter=0.15)
    steps = []
    for place in range(3):
        panel, film = booth.spray(f"panel {place}", "white", {"dye 0": 1.0}, (1, 2, 4))
        steps += [replace(step, film_um=12.0 * film[step.coats]) for step in panel]
    learned = learn_quickly(steps)
    without = learn_quickly([replace(step, film_um=None) for step in steps])
    assert learned.strength_uncertainty(0) < 0.5 * without.strength_uncertainty(0)
    spectrum = learned.absorption[0] / learned.um_per_coat
    truth = booth.dyes["dye 0"] / 12.0
    assert spectrum @ truth / (truth @ truth) == pytest.approx(1, abs=0.03)


def test_own_scatter_of_a_class_is_learned(shops):
    booth = shops.Booth(32, scatter=0.15)
    steps = []
    for dye in booth.dyes:
        for place in range(4):
            steps += booth.spray(f"{dye} {place}", "white", {dye: 1.0}, (1, 2, 4))[0]
    assert learn_quickly(steps).coat_scatter[""] == pytest.approx(0.14, abs=0.04)
    calm = [replace(step, paint="calm") for step in shops.Booth(33, scatter=0.03).kit()]
    assert learn_quickly(calm).coat_scatter["calm"] < 0.06


def test_weights_count(day):
    booth, kit, _ = day
    scanned = booth.spray("scan", "white", {"dye 1": 1.0}, (2,), heavy=1.5)[0]
    full = learn_quickly([*kit, *scanned], coat_scatter={"": 0.05})
    light = learn_quickly([*kit, *(replace(step, weight=1e-6) for step in scanned)], coat_scatter={"": 0.05})
    plain = learn_quickly(kit, coat_scatter={"": 0.05})
    row = plain.row("dye 1")
    far = np.abs(full.absorption[row] - plain.absorption[row]).max()
    assert np.abs(light.absorption[row] - plain.absorption[row]).max() < 0.1 * far


def test_haze_needs_two_grounds(shops):
    booth = shops.Booth(34)
    steps = booth.spray("one", "white", {"dye 0": 1.0}, (1, 2))[0]
    with pytest.raises(FaultsError, match="white and black"):
        learn(steps, scattering=["dye 0"])
    with pytest.raises(SprayoutError):
        learn([])


def test_absorption_is_never_negative_and_everything_finite(day):
    _, _, learned = day
    assert (learned.absorption >= 0).all()
    assert np.isfinite(learned.covariance).all()
    assert (np.linalg.eigvalsh(learned.covariance) > -1e-9).all()


def test_panel_steps_refuse_what_cannot_be():
    ground = Ground("white", "diffusing", {"45:0": np.full(31, 0.8)})
    fine = {
        "panel": "p",
        "ground": ground,
        "shares": {"a": 1.0},
        "coats": 2,
        "geometry": "45:0",
        "reading": np.full(31, 0.3),
    }
    PanelStep(**fine)
    for bad in (
        {"coats": 0},
        {"shares": {}},
        {"shares": {"a": 1.2}},
        {"shares": {"a": -0.1, "b": 0.5}},
        {"reading": np.full(30, 0.3)},
        {"reading": np.full(31, np.nan)},
        {"reading": np.full(31, -0.2)},
        {"geometry": "di:8"},
        {"weight": 0.0},
        {"film_um": -1.0},
    ):
        with pytest.raises(SprayoutError):
            PanelStep(**(fine | bad))
    with pytest.raises(SprayoutError):
        Ground("white", "diffusing", {})
    with pytest.raises(SprayoutError, match="diffusing, metallic"):
        Ground("white", "shiny", {"45:0": np.full(31, 0.8)})


def test_learning_twice_gives_the_same(day):
    _, kit, learned = day
    again = learn_quickly(kit)
    assert again.absorption == pytest.approx(learned.absorption, abs=1e-12)
    assert two_flux(0.1, 0.1, 1, 0.5) == two_flux(0.1, 0.1, 1, 0.5)
