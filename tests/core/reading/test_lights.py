import numpy as np
import pytest

from sprayout_core.difference import OUTSIDE_SCOPE, metamerism
from sprayout_core.light import View
from sprayout_core.reading import SETS, Angle, AngleError, light_change

NM = np.arange(400.0, 701.0, 10.0)
LIGHTS = View("D65"), View("A")


def spectra(bend=0.0):
    return {
        place: (0.3 + bend * np.sin(NM / 30) * place.aspecular / 110) * (1.5 - place.aspecular / 110)
        for place in SETS["five"]
    }


def test_each_angle_by_itself_and_labelled_as_outside_the_standard():
    found = light_change(spectra(), spectra(0.05), NM, LIGHTS)
    assert len(found.by_angle) == 5
    assert found.label == OUTSIDE_SCOPE
    assert OUTSIDE_SCOPE in str(found)
    place = Angle(45, 75)
    assert found.by_angle[place] == metamerism(spectra()[place], spectra(0.05)[place], NM, *LIGHTS)
    assert found.by_angle[found.worst] == max(found.by_angle.values())


def test_equal_panels_do_not_part():
    assert set(light_change(spectra(), spectra(), NM, LIGHTS).by_angle.values()) == {0.0}


def test_no_shared_angle():
    with pytest.raises(AngleError):
        light_change(spectra(), {Angle(15, 15): np.ones(NM.size)}, NM, LIGHTS)
