"""A difference formula that a stranger's plugin brings, asked in a process of its own."""

import importlib.metadata
import sys

import numpy as np
import pytest

from sprayout_core.errors import SprayoutError
from sprayout_library.record.asked import formula_of_plugin
from sprayout_plugins import registry

PLUGIN = """
from sprayout_core.tables import Differences
from sprayout_plugins.hooks import answers
sprayout_contract = "1.0"

@answers
def colour_differences(formula, standard, trial):
    if formula == "lightness only":
        return Differences(formula, tuple(abs(b[0] - a[0]) for a, b in zip(standard, trial)))
    if formula == "too few":
        return Differences(formula, ())
    if formula == "broken":
        raise RuntimeError("spilled")
"""


@pytest.fixture
def stranger(tmp_path, monkeypatch):
    (tmp_path / "lightness_plugin.py").write_text(PLUGIN, encoding="utf-8")
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    point = importlib.metadata.EntryPoint("lightness", "lightness_plugin", "sprayout.plugins")

    class Stranger:
        name, version = "stranger", "1"

    vars(point)["dist"] = Stranger()
    real = registry.find
    monkeypatch.setattr(registry, "find", lambda points=None: real([point]))


def test_a_formula_of_a_plugin_is_computed_for_each_pair(stranger):
    standard = np.array([[50.0, 1, 2], [40, 0, 0]])
    trial = np.array([[53.5, 9, 9], [38, 5, 5]])
    assert formula_of_plugin("lightness only")(standard, trial).tolist() == [3.5, 2.0]
    assert float(formula_of_plugin("lightness only")(standard[0], trial[0])) == 3.5


@pytest.mark.parametrize(
    ("name", "told"),
    [("unheard of", "no plugin knows"), ("too few", "no difference for each pair"), ("broken", "spilled")],
)
def test_what_a_plugin_does_not_know_or_spoils_is_refused(stranger, name, told):
    with pytest.raises(SprayoutError, match=told):
        formula_of_plugin(name)(np.zeros((2, 3)), np.ones((2, 3)))
