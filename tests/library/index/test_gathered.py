import numpy as np
import pytest

from sprayout_core.light import View, lab, tristimulus, white
from sprayout_library.index import colours
from sprayout_library.index.colours import Gathered
from sprayout_library.index.slim import Coordinates, Measured, Reading, Spectrum, Stage

VIEWS = [View("D65", 10), View("A", 10)]
NM = np.arange(400.0, 701.0, 10.0)


def reading(panel, *measured):
    return Reading("r", panel, Stage("bare"), "spectrum", list(measured))


def spectrum(geometry, values):
    return Measured(geometry, spectrum=Spectrum(values.tolist(), 400.0, 10.0))


@pytest.mark.parametrize(("many", "block"), [(1, 1), (200, 3), (200_000, 2048)])
def test_means_of_repeats_whatever_is_computed_together(monkeypatch, many, block):
    monkeypatch.setattr(colours, "_MANY", many)
    monkeypatch.setattr(colours, "_BLOCK", block)
    random = np.random.default_rng(3)
    gathered = Gathered(VIEWS)
    spectra = {panel: random.uniform(0.05, 0.9, (repeats, 31)) for panel, repeats in (("p", 1), ("q", 4), ("s", 2))}
    for panel, number in [("q", 0), ("p", 0), ("q", 1), ("q", 2), ("s", 0), ("q", 3), ("s", 1)]:
        gathered.add(reading(panel, spectrum("45as45", spectra[panel][number])))
    found = gathered.means()["45as45"]
    for (panel, *_), row in gathered.spots.items():
        for place, view in enumerate(VIEWS):
            each = [lab(tristimulus(one, NM, view), white(view, NM)) for one in spectra[panel]]
            assert found[place, row] == pytest.approx(np.mean(each, axis=0), abs=1e-9)


def given(values, against=None):
    return Measured("45:0", coordinates=Coordinates(values, "D65", 10, against))


def test_repeats_against_different_whites_have_no_colour():
    gathered = Gathered(VIEWS)
    gathered.add(reading("p", given([50, 1, 2], [94.8, 100, 107.3])))
    gathered.add(reading("p", given([52, 1, 2], [94.81, 100, 107.3])))
    gathered.add(reading("q", given([50, 1, 2], [94.8, 100, 107.3])))
    gathered.add(reading("q", given([52, 1, 2], [94.8, 100, 109.0])))
    same, other = gathered.means()["45:0"][0]
    assert same.tolist() == [51, 1, 2]
    assert np.isnan(other).all()


def test_what_was_dropped_is_gathered_anew():
    gathered = Gathered(VIEWS)
    gathered.add(reading("p", given([50, 1, 2], [94.8, 100, 107.3])))
    gathered.forget({"p"})
    gathered.add(reading("p", given([60, 1, 2], [94.8, 100, 120.0])))
    assert gathered.means()["45:0"][0][-1].tolist() == [60, 1, 2]
