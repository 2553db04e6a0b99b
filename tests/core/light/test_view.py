import numpy as np
import pytest

from sprayout_core.light import (
    ILLUMINANTS,
    VIEWS,
    LightError,
    NotFiniteError,
    UnknownLightError,
    View,
    lab,
    light_from_table,
    named_view,
    tristimulus,
    white,
)
from sprayout_core.light.tables import illuminant
from sprayout_core.light.view import power

NM = np.arange(380.0, 781.0, 10.0)


def test_the_default_view():
    assert View() == View("D65", 10)
    assert str(View("A", 2)) == "A/2°"


@pytest.mark.parametrize(("illuminant", "observer"), [("D66", 10), ("d65", 10), ("", 2), ("D65", 4), ("D65", True)])
def test_unknown_lights_and_observers_are_refused(illuminant, observer):
    with pytest.raises(UnknownLightError):
        View(illuminant, observer)


def test_a_light_of_the_users_own_is_used_as_the_tabulated_one_is():
    nm, watts = illuminant("FL11")
    own = View(light_from_table("my tube", nm, watts))
    grey = np.linspace(0.2, 0.6, NM.size)
    np.testing.assert_allclose(tristimulus(grey, NM, own), tristimulus(grey, NM, View("FL11")), atol=1e-9)
    assert str(own) == "my tube/10°"
    assert own != View("FL11")


def test_power_scale_does_not_matter():
    nm, watts = illuminant("LED-B3")
    one, other = (View(light_from_table("lamp", nm, watts * k)) for k in (1.0, 250.0))
    np.testing.assert_allclose(white(one, NM), white(other, NM), atol=1e-9)


def test_power_is_linear_between_and_zero_outside():
    light = light_from_table("lamp", [380, 400, *range(420, 781, 20)], [1, 3, *([3] * 19)])
    np.testing.assert_allclose(power(light, [370, 390, 395, 800]), [0, 2, 2.5, 0])


@pytest.mark.parametrize(
    ("nm", "watts", "error"),
    [
        (NM, np.ones(5), LightError),
        (NM[::-1], np.ones(NM.size), LightError),
        (NM[3:], np.ones(NM.size - 3), LightError),
        (NM, -np.ones(NM.size), LightError),
        (NM, np.zeros(NM.size), LightError),
        (NM, np.full(NM.size, np.nan), NotFiniteError),
        (NM[::4], np.ones(NM[::4].size), LightError),
    ],
)
def test_tables_that_make_no_light_are_refused(nm, watts, error):
    with pytest.raises(error) as refused:
        light_from_table("bench lamp", nm, watts)
    assert "bench lamp" in str(refused.value)


def test_named_views():
    assert named_view("direct sun") == View("D50")
    assert named_view("open shade") == View("D75")
    assert named_view("FL7") == View("FL7")
    assert {view.illuminant for view in VIEWS.values()} <= set(ILLUMINANTS)
    with pytest.raises(UnknownLightError, match="daylight"):
        named_view("moonlight")


def test_colours_of_the_named_lights_run_from_warm_to_cold():
    def blueness(name):
        x, _, z = white(VIEWS[name], NM)
        return z / x

    order = ["warm LED", "tungsten", "direct sun", "daylight", "open shade"]
    found = [blueness(name) for name in order]
    assert found == sorted(found)


def test_a_grey_stays_grey_in_every_light():
    for view in VIEWS.values():
        seen = lab(tristimulus(np.full(NM.size, 0.25), NM, view), white(view, NM))
        np.testing.assert_allclose(seen[1:], 0.0, atol=1e-9)
