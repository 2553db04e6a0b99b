"""The film tests' own truths, loaded by path: they belong to no package."""

import copy
import importlib.util
import sys
from pathlib import Path

import pytest


def beside(name):
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


@pytest.fixture(scope="session")
def layers():
    """Independent adding-doubling truth."""
    return beside("truth_layers")


@pytest.fixture(scope="session")
def flake_beds():
    """Independent Monte-Carlo truth of flakes under a dyed clear."""
    return beside("truth_flakes")


@pytest.fixture(scope="session")
def shops():
    """Booths whose true optics are hidden."""
    return beside("truth_shop")


@pytest.fixture(scope="session")
def eye():
    """D65 and the 10 degree observer on the tests' wavelengths."""
    from sprayout_core.film.colour import Eye
    from sprayout_core.light import View

    return Eye.of(beside("truth_layers").WAVE, View(illuminant="D65", observer=10))


@pytest.fixture(scope="session")
def difference(eye):
    """dE00 between readings, D65/10."""
    from sprayout_core.difference import ciede2000

    return lambda one, two: ciede2000(eye.lab(one), eye.lab(two))


@pytest.fixture(scope="session")
def first_day():
    """One booth, its kit of panels, and what was learned from them with accuracy."""
    from sprayout_core.film import learn

    booth = beside("truth_shop").Booth(77)
    kit = booth.kit()
    return booth, kit, learn(kit)


@pytest.fixture
def day(first_day):
    """That booth as it stood then, whatever other tests have sprayed in it meanwhile."""
    booth, kit, learned = first_day
    again = copy.copy(booth)
    again.rng = copy.deepcopy(booth.rng)
    return again, kit, learned
