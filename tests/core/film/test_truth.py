"""The truths the film is judged by, judged themselves."""

import numpy as np
import pytest


@pytest.mark.parametrize(
    ("single", "total", "g"), [(0.5, 1.0, 0.0), (0.9, 2.0, 0.3), (0.99, 4.0, 0.5), (0.8, 0.5, 0.7), (1.0, 1.0, 0.2)]
)
def test_layers_against_a_general_radiative_transfer_library(layers, single, total, g):
    iadpython = pytest.importorskip("iadpython")
    sample = iadpython.Sample(a=single, b=total, g=g, n=1.0, quad_pts=16)
    reflected, passed = sample.rt()[:2]
    found = layers.slab(total * (1 - single), total * single, g)
    assert found[0] == pytest.approx(reflected, abs=5e-4)
    assert found[1] == pytest.approx(passed, abs=5e-4)


def test_layers_keep_energy(layers):
    reflected, passed = layers.slab(0.0, 1.3, 0.4)
    assert reflected + passed == pytest.approx(1.0, abs=1e-4)
    flake = layers.flakes(1.0, 9, 0.08)
    assert (flake @ layers.D.weight <= 1.001).all()
    assert flake == pytest.approx(flake.T)


def test_a_white_sphere_reads_one(layers):
    """All light comes back from a ground of albedo 1, so diffuse light sees 1 whatever the surface does."""
    assert layers.reading(layers.lambert(1.0), 0.0, "di:8") == pytest.approx(1.0, abs=1e-6)


def test_flake_bed_agrees_with_layers_where_it_scatters_alike(flake_beds, layers):
    """A bed of edges alone is a diffusing ground; the Monte-Carlo way finds what adding-doubling finds."""
    bed = flake_beds.FlakeBed(8, 1.0, 40000, seed=5)
    for name in ("45as25", "45as110"):
        for tau in (0.0, 0.5):
            exact = layers.reading(layers.lambert(0.7), tau, name)
            assert bed.reading(np.full(1, 0.7), np.full(1, tau), name)[0] == pytest.approx(exact, rel=0.03)
