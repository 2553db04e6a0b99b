"""What painters know about grounds, on panels computed for the test from invented spectra."""

import numpy as np
import pytest

from sprayout_core.light import VIEWS, colour

NM = np.arange(400.0, 701.0, 10.0)


def band(centre, width):
    return np.exp(-(((NM - centre) / width) ** 2))


# a dye's absorption for one pass; invented, one for each part of the hue circle
DYES = {
    "teal": 0.5 * band(640, 60),
    "violet": 0.5 * band(570, 45),
    "moss": 0.4 * band(430, 35) + 0.3 * band(660, 45),
    "rust": 0.6 * band(480, 60),
    "straw": 0.5 * band(420, 30),
}
SILVER = np.full(NM.size, 0.62)
GROUNDS = {
    "silver": SILVER,
    "gold": SILVER * (1.0 - 0.75 / (1.0 + np.exp((NM - 515) / 18))),
    "charcoal": np.full(NM.size, 0.06),
}


def over(ground, dye, coats=3):
    return colour(GROUNDS[ground] * np.exp(-2.0 * coats * DYES[dye]), NM, VIEWS["daylight"]).lab


@pytest.mark.parametrize("dye", DYES)
def test_gold_makes_every_dye_warmer_and_darker_than_silver(dye):
    """Common practice, no source."""
    gold, silver = over("gold", dye), over("silver", dye)
    assert gold[2] > silver[2]
    assert gold[0] < silver[0]


@pytest.mark.parametrize("dye", DYES)
def test_a_dye_is_lightest_over_silver_and_darkest_over_charcoal(dye):
    """Common practice, no source."""
    lightness = {ground: over(ground, dye)[0] for ground in GROUNDS}
    assert max(lightness, key=lightness.get) == "silver"
    assert min(lightness, key=lightness.get) == "charcoal"
