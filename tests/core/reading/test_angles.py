import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.reading import SETS, Angle, AngleError, angle


# source: geometry of ASTM E2539, view = 45 - aspecular angle, worked by hand
@pytest.mark.parametrize(
    ("text", "viewing"),
    [("45as-15", 60), ("45as15", 30), ("45as25", 20), ("45as45", 0), ("45as75", -30), ("45as110", -65)],
)
def test_views_are_positive_toward_the_normal(text, viewing):
    assert angle(text).viewing == viewing


@pytest.mark.parametrize("text", ["45as15", "45:as15", " 45 as 15 ", "45°:as15°", "45as+15"])
def test_ways_of_writing_one_angle(text):
    assert angle(text) == Angle(45, 15)
    assert str(angle(text)) == "45as15"


@pytest.mark.parametrize("text", ["15", "as15", "45", "45:15", "45/15", "", "45as", "asas", "45as15x", "nanas15"])
def test_a_bare_number_names_no_geometry(text):
    with pytest.raises(AngleError, match="45as15"):
        angle(text)


@pytest.mark.parametrize("text", ["0as15", "90as15", "45as-45", "45as135", "95as110"])
def test_angles_that_cannot_be(text):
    with pytest.raises(AngleError):
        angle(text)


@given(st.integers(1, 89), st.integers(-89, 178))
def test_written_and_read_back(light, away):
    if abs(light - away) < 90:
        assert angle(str(Angle(light, away))) == Angle(light, away)


def test_zones_in_words():
    zones = [place.zone for place in SETS["six"]]
    assert zones == ["face", "face", "face", "middle", "flop", "flop"]
    assert angle("45as110").spoken == "at the flop (110°)"
    assert angle("45as45").spoken == "in the middle (45°)"


def test_usual_sets():
    assert [place.aspecular for place in SETS["three"]] == [15, 45, 110]
    assert [place.aspecular for place in SETS["five"]] == [15, 25, 45, 75, 110]
    assert {place.illumination for place in SETS["interference"]} == {45, 15}
