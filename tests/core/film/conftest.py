"""The film tests' own truths, loaded by path: they belong to no package."""

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
