import numpy as np
import pytest

from sprayout_core.difference import (
    Limit,
    State,
    Tolerance,
    ToleranceError,
    UnknownFormulaError,
    Weights,
    cie76,
    judge,
)
from sprayout_core.light import Colour, Conditions, View, ViewMismatchError, white

WHITE = white(View(), np.arange(400.0, 701.0, 10.0))
PLACES = ("45as15", "45as45", "45as110")
STANDARD = {"45as15": (105.0, -20, -15), "45as45": (55.0, -22, -18), "45as110": (20.0, -14, -12)}


def seen(values, stage="cleared", view=None):
    return {
        place: Colour(np.array(lab, dtype=float), view or View(), WHITE, Conditions(stage, place))
        for place, lab in values.items()
    }


def moved(**steps):
    return seen({place: np.add(lab, steps.get(place[2:], (0, 0, 0))) for place, lab in STANDARD.items()})


TABLE = Tolerance({place: Limit(difference=1.0) for place in PLACES}, formula="cie1976")


@pytest.mark.parametrize(
    ("step", "state"), [(0.0, State.IN), (1.0, State.IN), (1.2, State.NEAR), (1.25, State.NEAR), (1.3, State.OUT)]
)
def test_in_near_and_out(step, state):
    verdict = judge(seen(STANDARD), moved(as45=(-step, 0, 0)), TABLE)
    assert verdict.state is state
    assert verdict.worst.ratio == pytest.approx(step)


def test_the_worst_angle_decides_and_is_named_with_its_direction():
    verdict = judge(seen(STANDARD), moved(as110=(-2, 0, 0), as15=(0.9, 0, 0)), TABLE)
    assert verdict.worst.geometry == "45as110"
    assert verdict.mean == pytest.approx((2 + 0.9) / 3)
    assert str(verdict) == ("out at 45as110: darker (difference 2.00, limit 1); mean difference 0.97 (cie1976)")
    assert [str(place.state) for place in verdict.places] == ["in", "in", "out"]


def test_a_component_may_be_what_exceeds():
    table = Tolerance({"45as45": Limit(difference=3.0, lightness=0.5)}, formula="cie1976")
    verdict = judge(seen(STANDARD), moved(as45=(1.0, 0, 0)), table)
    assert verdict.worst.exceeds == "lightness"
    assert verdict.state is State.OUT


def test_weights_per_angle():
    loose = Tolerance({"45as45": Limit(difference=1.0, weights=Weights(lightness=4))})
    strict = Tolerance({"45as45": Limit(difference=1.0)})
    ratios = [judge(seen(STANDARD), moved(as45=(2, 0, 0)), table).worst.ratio for table in (loose, strict)]
    assert ratios[0] == pytest.approx(ratios[1] / 4)


def test_standard_and_trial_are_never_swapped():
    table = Tolerance({"45as45": Limit(difference=1.0)}, formula="cmc-1-1")
    one, other = seen(STANDARD), moved(as45=(1, 4, -3))
    assert judge(one, other, table).worst.value != judge(other, one, table).worst.value


def test_a_plugins_formula():
    table = Tolerance({"45as45": Limit(difference=1.0)}, formula="halved")
    extra = {"halved": lambda standard, trial: cie76(standard, trial) / 2}
    assert judge(seen(STANDARD), moved(as45=(1, 0, 0)), table, extra).worst.value == 0.5
    with pytest.raises(UnknownFormulaError):
        judge(seen(STANDARD), moved(), table)


def test_what_cannot_be_judged_is_refused():
    missing = seen(STANDARD)
    del missing["45as110"]
    with pytest.raises(ToleranceError, match="the trial was not measured at 45as110"):
        judge(seen(STANDARD), missing, TABLE)
    with pytest.raises(ViewMismatchError, match="bare"):
        judge(seen(STANDARD, stage="bare"), seen(STANDARD), TABLE)
    with pytest.raises(ViewMismatchError, match="A/10"):
        judge(seen(STANDARD), seen(STANDARD, view=View("A")), TABLE)


def test_angles_without_a_limit_are_not_judged():
    table = Tolerance({"45as45": Limit(difference=1.0)})
    assert len(judge(seen(STANDARD), moved(as110=(-9, 0, 0)), table).places) == 1


@pytest.mark.parametrize(
    "make",
    [
        lambda: Limit(),
        lambda: Limit(difference=0),
        lambda: Limit(difference=1, hue=-1),
        lambda: Limit(difference=float("nan")),
        lambda: Tolerance({}),
        lambda: Tolerance({"45:0": Limit(1.0)}, near=0.9),
        lambda: Tolerance({"45:0": Limit(1.0, weights=Weights())}, formula="cie1976"),
    ],
)
def test_tolerances_that_make_no_sense(make):
    with pytest.raises(ToleranceError):
        make()
