"""A shop with a single panel: leaving it out must not leave a factor without a panel."""

import numpy as np

from sprayout_core.film import Ground, PanelStep, clear_layer, learn

NM = np.arange(400.0, 701.0, 10.0)


def test_a_shop_with_one_panel_is_learned_from():
    ground = Ground("pale", "diffusing", {"45:0": np.full(31, 0.6)})
    tau = 0.2 * np.exp(-(((NM - 600) / 60) ** 2))
    steps = [
        PanelStep(
            f"P{n}",
            ground,
            {"dye": 1.0},
            coats,
            "45:0",
            clear_layer(ground.reading("45:0"), tau * coats, "45:0"),
            shop="one",
        )
        for n, coats in enumerate((1, 2, 3, 4))
    ]
    steps.append(
        PanelStep(
            "Q", ground, {"dye": 1.0}, 3, "45:0", clear_layer(ground.reading("45:0"), tau * 3.3, "45:0"), shop="two"
        )
    )
    learned = learn(steps, NM)
    assert learned.accuracy is not None and learned.accuracy.panels == 4
    assert abs(learned.film["two"].value - 1.1) < 0.05
