"""A new bottle checked on panels of a mix: a heavy coat looks like a strong dye there, and the interval holds it."""

import numpy as np
import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.film import Ground, PanelStep, clear_layer, learn_quickly, new_bottle

WAVE = np.arange(400.0, 701.0, 10.0)
#: Invented dyes; the first two are much alike.
DYES = {
    "red": 0.03 + 0.6 * np.exp(-0.5 * ((WAVE - 530) / 40) ** 2),
    "wine": 0.03 + 0.5 * np.exp(-0.5 * ((WAVE - 545) / 45) ** 2),
    "blue": 0.03 + 0.5 * np.exp(-0.5 * ((WAVE - 620) / 45) ** 2),
}
WHITE = Ground("white", "diffusing", {"45:0": np.full(31, 0.75)})


class Hand:
    """Sprays with coats that scatter by 5 %, and reads with noise."""

    def __init__(self, seed):
        self.rng = np.random.default_rng(seed)

    def panel(self, name, mix, coats, strength=1.0):
        film = coats * (1 + 0.05 / np.sqrt(coats) * self.rng.standard_normal())
        tau = film * sum(share * DYES[dye] * (strength if dye == "red" else 1.0) for dye, share in mix.items())
        reading = clear_layer(WHITE.readings["45:0"], tau, "45:0") + self.rng.normal(0, 5e-4, 31)
        return PanelStep(name, WHITE, mix, coats, "45:0", np.maximum(reading, 0))


@pytest.fixture(scope="module")
def shop():
    hand = Hand(3)
    neat = [hand.panel(f"{dye} {coats}", {dye: 1.0}, coats) for dye in DYES for coats in (1, 2, 4)]
    weak = [hand.panel(f"{dye} weak {coats}", {dye: 0.3}, coats) for dye in DYES for coats in (2, 4)]
    return hand, learn_quickly([*neat, *weak])


@pytest.mark.parametrize("mix", [{"red": 1.0}, {"red": 0.1, "wine": 0.4}, {"red": 0.05, "blue": 0.5}])
def test_the_interval_holds_in_a_mix_as_it_does_neat(shop, mix):
    hand, learned = shop
    found = [new_bottle(learned, "red", [hand.panel("new", mix, 2)]) for _ in range(60)]
    held = [abs(one.strength.value - 1.0) < 1.96 * one.strength.uncertainty for one in found]
    assert np.mean(held) >= 0.85
    assert np.mean([one.distinguishable for one in found]) <= 0.2


def test_a_panel_of_another_colour_is_refused(shop):
    hand, learned = shop
    wrong = hand.panel("wrong", {"blue": 1.0}, 4)
    with pytest.raises(SprayoutError, match="at no strength"):
        new_bottle(learned, "red", [PanelStep("wrong", WHITE, {"red": 0.1}, 1, "45:0", wrong.reading)])
