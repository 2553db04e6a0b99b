import numpy as np
import pytest

from sprayout_core.difference import Limit, Tolerance, judge
from sprayout_core.light import Colour, Conditions, View, ViewMismatchError, white
from sprayout_core.reading import SETS, Angle, AngleError, across_angles, tell, travel

WHITE = white(View(), np.arange(400.0, 701.0, 10.0))


def reading(step=(0.0, 0.0, 0.0), stage="cleared", places=SETS["five"], view=None):
    return {
        place: Colour(
            np.array([120 - 0.9 * place.aspecular, -20.0, -12.0]) + np.multiply(step, place.aspecular / 110),
            view or View(),
            WHITE,
            Conditions(stage, str(place)),
        )
        for place in places
    }


def test_the_worst_angle_is_named_and_the_mean_stands_beside_it():
    found = across_angles(reading(), reading((-3, 0, 0)))
    assert found.worst.angle == Angle(45, 110)
    assert len(found.angles) == 5
    assert found.mean < found.worst.difference
    assert str(found).startswith("worst at the flop (110°): darker")


def test_only_shared_angles_are_compared_and_the_others_are_told():
    found = across_angles(reading(), reading(places=SETS["six"]))
    assert found.unpaired == (Angle(45, -15),)
    with pytest.raises(AngleError, match="45as25"):
        across_angles(reading(places=[Angle(45, 25)]), reading(places=[Angle(45, 75)]))


def test_unlike_readings_are_refused():
    with pytest.raises(ViewMismatchError, match="bare"):
        across_angles(reading(stage="bare"), reading())
    with pytest.raises(ViewMismatchError, match="A/10"):
        across_angles(reading(), reading(view=View("A")))


def test_travel_is_ordered_away_from_the_gloss():
    shuffled = dict(reversed(reading().items()))
    found = travel(shuffled)
    assert [place.aspecular for place in found.angles] == [15, 25, 45, 75, 110]
    assert found.lab.shape == (5, 3)
    assert found.lab[0, 0] > 100
    assert found.length == pytest.approx(0.9 * 95)
    assert (np.diff(found.lch[:, 0]) < 0).all()


def test_travel_of_one_angle_or_of_two_stages_is_refused():
    with pytest.raises(AngleError, match="two"):
        travel(reading(places=[Angle(45, 15)]))
    mixed = reading()
    mixed[Angle(45, 15)] = reading(stage="bare")[Angle(45, 15)]
    with pytest.raises(ViewMismatchError):
        travel(mixed)


def test_a_verdict_as_a_painter_reads_it():
    by_name = [{str(place): seen for place, seen in one.items()} for one in (reading(), reading((-3, 0, 0)))]
    table = Tolerance({f"45as{away}": Limit(1.0) for away in (15, 45, 75, 110)}, formula="cie1976")
    assert tell(judge(*by_name, table)) == (
        "out at the flop (110°): darker (difference 3.00, limit 1); "
        "out at the flop (75°): darker (difference 2.05, limit 1); "
        "near in the middle (45°): darker (difference 1.23, limit 1)"
    )


def test_a_verdict_for_one_geometry():
    seen = {"d:8": Colour(np.array([50.0, 1, 1]), View(), WHITE, Conditions("", "d:8"))}
    assert tell(judge(seen, seen, Tolerance({"d:8": Limit(1.0)}))) == (
        "in at d:8: no step to speak of (difference 0.00, limit 1)"
    )
