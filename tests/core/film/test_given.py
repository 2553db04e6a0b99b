"""What the film room is given: percent, words, no numbers and shapes that do not fit are refused, never used."""

import numpy as np
import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    Ground,
    Means,
    PanelStep,
    StepCard,
    Trial,
    bare_to_cleared,
    clear_layer,
    coats_of,
    correct_pot,
    forgiveness,
    fresnel,
    hazy_layer,
    learn_quickly,
    next_coat,
    predict,
    predict_readings,
    saunderson,
    saunderson_excluded_inverse,
    saunderson_inverse,
    search,
    target_from_lab,
    target_from_readings,
    two_flux,
    wished,
)

FLAT = np.full(31, 0.4)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: saunderson_inverse([0.5, np.nan], 0.04, 0.6),
        lambda: saunderson_inverse([50.0], 0.04, 0.6),
        lambda: saunderson_excluded_inverse([0.5, np.nan], 0.04, 0.6),
        lambda: saunderson_excluded_inverse([50.0], 0.04, 0.6),
        lambda: saunderson(["a"], 0.04, 0.6),
        lambda: saunderson([0.5], [0.04, 0.04], 0.6),
        lambda: fresnel(np.inf, 5),
        lambda: fresnel([1.5, 1.4], [0.0, 1.0, 2.0]),
        lambda: two_flux(np.inf, 1, 1, 0.2),
        lambda: two_flux(np.ones(31), np.ones(30), 1, 0.2),
        lambda: clear_layer(50.0, 0.1, "45:0"),
        lambda: clear_layer(50.0, 0.1, "d:8"),
        lambda: clear_layer(np.inf, 0.1, "45:0"),
        lambda: clear_layer(np.ones(31), np.ones(30), "45:0"),
        lambda: clear_layer(0.5, 0.1, None),
        lambda: clear_layer(0.5, 0.1, "45:0", np.full(31, 1.5)),
        lambda: clear_layer(0.5, 0.1, "45:0", trapping=np.inf),
        lambda: hazy_layer(0.5, -0.1, 0.1, "45:0"),
        lambda: hazy_layer(np.ones(31), np.ones(31), np.ones(30), "45:0"),
        lambda: bare_to_cleared([50.0], "45:0"),
        lambda: next_coat(100 * FLAT, 90 * FLAT, 80 * FLAT),
        lambda: next_coat(FLAT, np.full(31, np.nan), FLAT),
        lambda: next_coat(FLAT, ["x"] * 31, FLAT),
        lambda: next_coat([FLAT, FLAT], [FLAT, FLAT], [FLAT, FLAT]),
        lambda: Ground("white", "diffusing", {"di:8": 100 * FLAT}),
        lambda: PanelStep("P", Ground("white", "diffusing", {"45:0": FLAT}), {"teal": 1.0}, 2, "45:0", 40 * FLAT),
    ],
)  # fmt: skip
def test_refused_with_a_place(asked):
    with pytest.raises(SprayoutError) as refused:
        asked()
    assert refused.value.fault.place and refused.value.fault.problem


def test_what_is_legal_passes():
    assert clear_layer(12.0, 0.1, "45as-15", trapping=0.1) < 12.0  # flakes near the gloss angle
    assert saunderson_inverse(saunderson([0.0, 1.0], 0.04, 0.6), 0.04, 0.6) == pytest.approx([0.0, 1.0])
    # R of an endless layer at K/S = 1: 2 - sqrt(3) (Kubelka and Munk 1931); nothing overflows on the way
    assert float(two_flux(1e200, 1e200, 1e200, 0.3)) == pytest.approx(2 - 3**0.5)
    assert next_coat(list(FLAT), list(0.9 * FLAT), (0.8 * FLAT).astype(np.float32)).shape == (31,)


WAVE = np.arange(400.0, 701.0, 10.0)
WHITE = Ground("white", "diffusing", {"45:0": np.full(31, 0.75)})


@pytest.fixture(scope="module")
def red():
    """What three panels of one invented dye teach."""
    tau = 0.03 + 0.6 * np.exp(-0.5 * ((WAVE - 530) / 40) ** 2)
    seen = {coats: clear_layer(WHITE.readings["45:0"], coats * tau, "45:0") for coats in (1, 2, 4)}
    return learn_quickly([PanelStep(f"R{n}", WHITE, {"red": 1.0}, n, "45:0", one) for n, one in seen.items()])


CARD = StepCard([0.0, 1.0, 2.0], np.array([[0.7], [0.4], [0.2]]))
TARGET = target_from_lab({"45:0": [50.0, 20.0, 10.0]})


@pytest.mark.parametrize(
    "asked",
    [
        lambda _: target_from_readings({"45:0": 50 * FLAT}, WAVE),
        lambda _: target_from_readings({"45:0": FLAT[:30]}, WAVE),
        lambda _: wished(TARGET, lighter=float("nan")),
        lambda _: coats_of(CARD, [40.0 * 2]),
        lambda _: coats_of(CARD, [0.3], noise=-1.0),
        lambda _: CARD.at(-1.0),
        lambda _: StepCard([0.0, np.nan], np.ones((2, 1))),
        lambda _: PanelStep("P", WHITE, {"red": 1.0}, np.inf, "45:0", FLAT),
        lambda red: predict(red, Trial(WHITE, {"red": 1.0}, np.inf), ["45:0"]),
        lambda red: predict_readings(red, FLAT, [0.5, 0.5], 2, "45:0"),
        lambda red: forgiveness(red, WHITE, {"red": 1.5}, [2], ["45:0"]),
        lambda red: forgiveness(red, WHITE, {"red": 1.0}, [np.inf], ["45:0"]),
        lambda red: forgiveness(red, WHITE, {"red": 1.0}, [2], []),
        lambda red: search(red, TARGET, Means(("red",), (WHITE,), parts=0)),
        lambda red: search(red, TARGET, Means(("red", "red"), (WHITE,))),
        # 20 % beside a carrier nobody measured is no ratio: neither is taken for the other
        lambda red: search(red, TARGET, Means(("red",), (WHITE,), solids={"red": 0.2})),
        lambda red: correct_pot(red, {"red": 10.0}, TARGET, Means(("red",), ()), 1.0),
        lambda red: correct_pot(red, {"red": 10.0}, TARGET, Means(("red",), (WHITE,)), 1.0, -5.0),
    ],
)
def test_questions_that_make_no_sense_are_refused(red, asked):
    with pytest.raises(SprayoutError) as refused:
        asked(red)
    assert refused.value.fault.problem
