"""Keyed grounds from masstone and letdown, against thick pigmented layers by adding-doubling."""

import numpy as np
import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    Trial,
    keyed_ground,
    learn_quickly,
    pigment_from_tint,
    predict,
    white_pigment,
)

SHARES = (0.02, 0.05, 0.1, 0.3, 0.6)


@pytest.fixture(scope="module")
def paints(layers):
    """Absorption and scattering per volume of a white and of colours that hide by themselves; the seed is new."""
    rng = np.random.default_rng(4711)
    white = (0.004 + 0.05 * np.exp(-(((layers.WAVE - 400) / 15) ** 2)), np.ones(31))
    colours = []
    for _ in range(4):
        absorbed = 0.05 + layers.band(rng.uniform(430, 660), rng.uniform(40, 70), rng.uniform(1.0, 3.0))
        colours.append((absorbed, np.full(31, rng.uniform(0.2, 0.7))))
    return white, colours


def opaque_reading(layers, parts, geometry, g=0.5):
    """What a coat that hides reads cleared: parts are pairs of optics and share."""
    absorbed = sum(share * optics[0] for optics, share in parts)
    scattered = sum(share * optics[1] for optics, share in parts)
    thick = 40.0 / scattered
    kernel = layers.over(
        layers.scattering_layer(thick * absorbed, thick * scattered, g), layers.lambert(0.5 * np.ones(31))
    )
    return layers.reading(kernel, np.zeros(31), geometry)


@pytest.mark.parametrize("geometry", ["45:0", pytest.param("di:8", marks=pytest.mark.long)])
def test_keyed_grounds_come_out_within_their_doubt(layers, paints, difference, geometry):
    white, colours = paints
    base = opaque_reading(layers, [(white, 1.0)], geometry)
    errors = []
    for colour in colours:
        neat = opaque_reading(layers, [(colour, 1.0)], geometry)
        tint = opaque_reading(layers, [(white, 0.85), (colour, 0.15)], geometry)
        known = {"white": white_pigment(base, geometry), "colour": pigment_from_tint(base, tint, 0.15, geometry, neat)}
        for share in SHARES:
            made = keyed_ground("keyed", {geometry: known}, {"white": 1 - share, "colour": share})
            truth = opaque_reading(layers, [(white, 1 - share), (colour, share)], geometry)
            errors.append(float(difference(made.reading(geometry), truth)))
    print(f"keyed grounds, {geometry}: median {np.median(errors):.2f}, p95 {np.percentile(errors, 95):.2f}")
    assert np.median(errors) < 1.0
    assert np.percentile(errors, 95) < 2.0


def test_a_dye_in_white_needs_its_tint_only(layers, paints, difference):
    white, _ = paints
    dye = (layers.band(560, 50, 1.5), np.zeros(31))
    base = opaque_reading(layers, [(white, 1.0)], "45:0")
    tint = opaque_reading(layers, [(white, 0.9), (dye, 0.1)], "45:0")
    known = {"white": white_pigment(base, "45:0"), "dye": pigment_from_tint(base, tint, 0.1, "45:0")}
    assert not known["dye"].scattering.any()
    made = keyed_ground("keyed", {"45:0": known}, {"white": 0.95, "dye": 0.05})
    truth = opaque_reading(layers, [(white, 0.95), (dye, 0.05)], "45:0")
    assert float(difference(made.reading("45:0"), truth)) < 1.5
    with pytest.raises(SprayoutError, match="nothing that hides"):
        keyed_ground("dye alone", {"45:0": known}, {"dye": 1.0})
    with pytest.raises(SprayoutError):
        pigment_from_tint(base, tint, 1.0, "45:0")


def test_its_own_tint_comes_back(layers, paints):
    white, colours = paints
    base = opaque_reading(layers, [(white, 1.0)], "45:0")
    neat = opaque_reading(layers, [(colours[0], 1.0)], "45:0")
    tint = opaque_reading(layers, [(white, 0.85), (colours[0], 0.15)], "45:0")
    known = {"white": white_pigment(base, "45:0"), "colour": pigment_from_tint(base, tint, 0.15, "45:0", neat)}
    made = keyed_ground("keyed", {"45:0": known}, {"white": 0.85, "colour": 0.15})
    assert made.reading("45:0") == pytest.approx(tint, abs=1e-6)
    assert keyed_ground("white", {"45:0": known}, {"white": 1.0}).reading("45:0") == pytest.approx(base, abs=1e-6)


def test_what_rests_on_a_computed_ground_is_widened_and_told(layers, paints, shops):
    white, _ = paints
    booth = shops.Booth(33)
    learned = learn_quickly(booth.kit())
    base = opaque_reading(layers, [(white, 1.0)], "45:0")
    computed = keyed_ground("keyed", {"45:0": {"white": white_pigment(base, "45:0")}}, {"white": 1.0})
    read = type(computed)("keyed", "diffusing", {"45:0": base})
    one, two = (predict(learned, Trial(ground, {"dye 0": 1.0}, 2), ["45:0"])[0] for ground in (computed, read))
    assert one.lab == pytest.approx(two.lab, abs=1e-3)
    assert one.interval > two.interval
    assert one.interval == pytest.approx(np.hypot(two.interval, 1.6), rel=0.35)
    assert any("computed" in note for note in one.notes) and not any("computed" in note for note in two.notes)
