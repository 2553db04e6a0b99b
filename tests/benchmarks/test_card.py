"""A 300 dpi A4 scan measured, beside merely decoding it: prints the ratios."""

import importlib.util
import time
from pathlib import Path

import numpy as np
import pytest
import pyvips

from sprayout_core.card import Reference, samples_frame
from sprayout_core.light import View
from sprayout_plugins.card_scan import measure
from sprayout_plugins.card_scan.decoding import Decoding

pytestmark = pytest.mark.benchmark

GOAL = 4.0


def _rendering():
    place = Path(__file__).parents[1] / "plugins" / "card_scan" / "rendering.py"
    spec = importlib.util.spec_from_file_location("card_rendering_for_benchmarks", place)
    module = importlib.util.module_from_spec(spec)
    import sys

    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def _best(work, times=4):
    taken = []
    for _ in range(times):
        before = time.perf_counter()
        work()
        taken.append(time.perf_counter() - before)
    return min(taken)


def _in_a_process_of_its_own(picture):
    with Decoding(picture) as decoding:
        assert decoding.header.codes


def test_a_300_dpi_a4_scan(figure):
    rendering = _rendering()
    frame = samples_frame("M2X9AB")
    spectra = {
        "target": np.vstack([rendering.SAMPLES[rendering.chart(20)], rendering.GREYS]),
        "pieces": rendering.dye_panels(45, np.random.default_rng(5)),
    }
    pieces, known = [], {}
    for name, each in spectra.items():
        for (label, cell), spectrum, lab in zip(
            frame.window(name).cells().items(), each, rendering.truth(each), strict=True
        ):
            pieces.append((cell, spectrum))
            known[f"{name}/{label}"] = tuple(lab.tolist())
    known = {place: lab for place, lab in known.items() if place.startswith("target")}
    reference = Reference("made up", View("D65", 10), known)
    light = rendering.seen(frame, pieces, rendering.Scene(dpi=300, margin=0, noise=0.02))
    for kind, bits, profile in (
        ("tiff", 16, "srgb"),
        ("png", 16, "srgb"),
        ("tiff", 8, "srgb"),
        ("png", 8, "srgb"),
        ("jpeg", 8, "srgb"),
        ("png", 8, ""),
    ):
        scene = rendering.Scene(dpi=300, kind=kind, bits=bits, profile=profile)
        picture = rendering.written(light, scene)
        decode = _best(lambda p=picture: pyvips.Image.new_from_buffer(p, "").write_to_memory())
        apart = _best(lambda p=picture: _in_a_process_of_its_own(p))
        whole = _best(lambda p=picture: measure(p, frame, reference))
        told = f"{kind.upper()} {bits} bit{'' if profile else ' without profile'}, {len(picture) / 2**20:.1f} MB"
        figure(
            f"300 dpi A4 scan measured ({told})",
            whole / decode,
            "times merely decoding it here",
            f"{whole:.3f} s and {decode:.3f} s; decoded in a bounded process {apart:.3f} s",
            f"at most {GOAL:g}",
        )
