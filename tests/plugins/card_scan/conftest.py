import importlib.util
import sys
from pathlib import Path

import pytest

from sprayout_core.card import Reference, samples_frame, step_frame
from sprayout_core.light import View


@pytest.fixture(scope="session")
def rendering():
    name = "card_rendering"
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name("rendering.py"))
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


@pytest.fixture(scope="session")
def lay(rendering):
    """Lay spectra into a frame's windows: the pieces to paint and the reference that goes with them."""

    def laid(frame, windows):
        pieces, known = [], {}
        for name, spectra in windows.items():
            window = frame.window(name)
            colours = rendering.truth(spectra)
            for (label, cell), spectrum, lab in zip(window.cells().items(), spectra, colours, strict=False):
                pieces.append((cell, spectrum))
                if window.kind == "reference":
                    known[f"{name}/{label}"] = tuple(float(v) for v in lab)
        return pieces, Reference("made up", View("D65", 10), known)

    return laid


@pytest.fixture(scope="session")
def target(rendering):
    import numpy as np

    return np.vstack([rendering.SAMPLES[rendering.chart(20)], rendering.GREYS])


@pytest.fixture(scope="session")
def pieces_frame():
    return samples_frame("M2X9AB")


@pytest.fixture(scope="session")
def steps_frame():
    return step_frame("K7F3Q2")


@pytest.fixture(scope="session")
def good(rendering, lay, target, pieces_frame):
    """One sound picture: its bytes, its reference, and the spectra of its 44 pieces (one cell left empty)."""
    import numpy as np

    rng = np.random.default_rng(41)
    rest = [i for i in range(len(rendering.SAMPLES)) if i not in rendering.chart(20)]
    spectra = np.vstack([rendering.SAMPLES[rest[:22]], rendering.dye_panels(22, rng)])
    pieces, reference = lay(pieces_frame, {"target": target, "pieces": spectra})
    scene = rendering.Scene(dpi=130, rotate=3.0, tilt=(0.05, -0.04), margin=14, profile="srgb", kind="jpeg")
    return rendering.render(pieces_frame, pieces, scene), reference, spectra
