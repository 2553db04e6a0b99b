"""A pearl and a dye, each learned alone over white and black, predict their mix: against adding-doubling films."""

import numpy as np
import pytest

from sprayout_core.film import Ground, PanelStep, Trial, learn_quickly, predict

ALONE = (1, 2, 4)


class Shop:
    """White, black and grey solid grounds; a pearl and a dye drawn by a seed; coats that scatter by 5 %."""

    def __init__(self, layers, seed):
        self.layers, self.rng = layers, np.random.default_rng(seed)
        self.kernels = {
            name: layers.solid(np.full(31, one)) for name, one in (("white", 0.85), ("black", 0.04), ("grey", 0.3))
        }
        self.grounds = {name: Ground(name, "diffusing", {"45:0": self.read(name, {}, 0)}) for name in self.kernels}
        peak, pearl = self.rng.uniform(430, 670), self.rng.uniform(0.3, 0.9)
        self.optics = {
            "pearl": (layers.band(self.rng.uniform(430, 670), 60, 0.03, 0.01), pearl * (layers.WAVE / 550) ** -0.5),
            "dye": (layers.band(peak, 45, self.rng.uniform(0.2, 0.6), 0.02), 0 * layers.WAVE),
        }

    def read(self, ground, mix, film):
        kernel = self.kernels[ground]
        if film:
            absorbed, scattered = (
                film * sum(share * self.optics[name][place] for name, share in mix.items()) for place in (0, 1)
            )
            kernel = self.layers.over(self.layers.scattering_layer(absorbed, scattered, 0.4), kernel)
        seen = self.layers.reading(kernel, np.zeros(31), "45:0")
        return np.maximum(seen + self.rng.normal(0, 4e-4, 31), 0)

    def laid(self, coats):
        return coats * (1 + 0.05 / np.sqrt(coats) * self.rng.standard_normal())

    def kit(self):
        found = []
        for name in self.optics:
            for share, counts in ((1.0, ALONE), (0.5, (2,))):
                for coats in counts:
                    film = self.laid(coats)
                    found += [
                        PanelStep(f"{name} {share}", self.grounds[place], {name: share}, coats, "45:0",
                                  self.read(place, {name: share}, film))
                        for place in ("white", "black")
                    ]  # fmt: skip
        return found


@pytest.mark.parametrize("many", [pytest.param(1, id="quick"), pytest.param(6, id="all", marks=pytest.mark.long)])
def test_mixes_of_a_pearl_and_a_dye_learned_singly(layers, difference, many):
    missed, held = [], []
    for place in range(many):
        shop = Shop(layers, 8600 + place)
        learned = learn_quickly(shop.kit(), scattering=("pearl",))
        for share in (0.15, 0.4):
            mix = {"pearl": 1 - share, "dye": share}
            for ground in shop.grounds:
                for coats in (1, 3, 6, 12)[:: 7 - many]:
                    made = predict(learned, Trial(shop.grounds[ground], mix, coats), ["45:0"])[0]
                    missed.append(float(difference(made.reading, shop.read(ground, mix, shop.laid(coats)))))
                    held.append(missed[-1] <= made.interval)
    told = f"median {np.median(missed):.2f}, p95 {np.percentile(missed, 95):.2f}, intervals hold {np.mean(held):.3f}"
    print(f"mixes of a pearl and a dye learned singly: {told}")
    assert np.median(missed) <= 0.7 and np.percentile(missed, 95) <= 1.5
    assert np.mean(held) >= 0.85
