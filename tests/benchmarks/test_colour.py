"""Speed of colour, as ratios inside one run: printed, never judged."""

import time
import warnings

import numpy as np
import pytest

from sprayout_core.difference import ciede2000
from sprayout_core.light import View, lab, tristimulus, weights, white

pytestmark = pytest.mark.benchmark

PAIRS, SPECTRA = 1_000_000, 100_000


def fastest(work, times=5):
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def test_ciede2000_on_a_million_pairs_against_the_general_package(figure):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour.difference import delta_E_CIE2000
    random = np.random.default_rng(7)
    standard = random.uniform((0, -100, -100), (100, 100, 100), (PAIRS, 3))
    trial = standard + random.normal(0, 3, (PAIRS, 3))
    ours = fastest(lambda: ciede2000(standard, trial))
    theirs = fastest(lambda: delta_E_CIE2000(standard, trial), times=3)
    figure(
        "CIEDE2000 of a million pairs", theirs / ours, "times as fast as the general colour package",
        f"{ours:.3f} s and {theirs:.3f} s", "at least 3",
    )  # fmt: skip


def test_spectra_to_cielab_against_the_bare_matrix_product(figure):
    nm = np.arange(400.0, 701.0, 10.0)
    spectra = np.random.default_rng(8).uniform(0, 1, (SPECTRA, nm.size))
    view = View()
    table, reference = weights(nm, view), white(view, nm)
    bare = fastest(lambda: spectra @ table, times=9)
    whole = fastest(lambda: lab(tristimulus(spectra, nm, view), reference), times=9)
    figure(
        "100,000 spectra to CIELAB", whole / bare, "times the bare matrix product",
        f"{1e3 * whole:.1f} ms and {1e3 * bare:.1f} ms", "at most 3",
    )  # fmt: skip
