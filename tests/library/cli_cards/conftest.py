"""A shop without a meter (invented): a step card, a piece, a panel over black and white, known colours, a scan."""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from sprayout_library.cards import Cards
from sprayout_library.cli.main import run

BEGINNING = (
    ("create", "lib", "--shop", "Fen Lane (invented)"),
    ("mix", "Kelp glass = 5 weak teal : 2 strong teal", "--new", "weak teal=dye", "--new", "strong teal=dye"),
    ("material", "bright aluminium", "--role", "metallic"),
    ("recipe", "Kelp fade", "--over", "bright aluminium", "--coat", "5 Kelp glass"),
    ("panel", "Kelp fade", "--label", "KF-1"),
    ("panel", "Kelp fade", "--label", "KF-2", "--steps", "0,1,2,3,4,6"),
    ("panel", "Kelp fade", "--label", "KF-3", "--zone", "over_black", "--zone", "over_white"),
)


@pytest.fixture(scope="session")
def rendering():
    name = "card_rendering"
    if name not in sys.modules:
        place = Path(__file__).parents[2] / "plugins" / "card_scan" / "rendering.py"
        spec = importlib.util.spec_from_file_location(name, place)
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


@pytest.fixture(scope="module")
def machine(tmp_path_factory, rendering):
    """The shop after printing a card and scanning it: its folder; truth of the piece is 2 coats of the step card."""
    folder = tmp_path_factory.mktemp("cards")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
        patch.chdir(folder)
        for words in BEGINNING:
            assert run(["--by", "ada", *words]) == 0
        spectra = np.vstack([rendering.SAMPLES[rendering.chart(20)], rendering.GREYS])
        lines = [f"{chr(65 + n // 6)}{n % 6 + 1},{','.join(f'{v:.4f}' for v in lab)}"
                 for n, lab in enumerate(rendering.truth(spectra))]  # fmt: skip
        (folder / "chart.csv").write_text("\n".join(["name,L*,a*,b*", *lines]) + "\n")
        status = run(["card", "print", "KF-1", "--steps", "KF-2", "--hiding", "KF-3", "--to", "card.pdf"])
        assert status == 0
        (kept,) = (folder / "lib" / "cards").glob("*.json")
        frame = Cards(folder / "lib").find(kept.stem).frame
        picture = rendering.render(frame, pieces(rendering, frame, spectra), rendering.Scene(
            dpi=130, margin=4, profile="srgb", kind="jpeg"))  # fmt: skip
        (folder / "scan.jpg").write_bytes(picture)
    return folder


def pieces(rendering, frame, spectra):
    """A made-up dye over silver: depth grows with coats."""
    dye = 0.25 * np.exp(-(((rendering.WAVELENGTHS - 620.0) / 70.0) ** 2))
    laid = list(zip(frame.window("target").cells().values(), spectra, strict=True))
    for label, cell in frame.window("step card").cells().items():
        laid.append((cell, 0.03 + 0.55 * np.exp(-1.4 * dye * int(label))))
    laid.append((frame.window("piece").rect, 0.03 + 0.55 * np.exp(-1.4 * dye * 2)))
    black, white = frame.window("black and white").cells().values()
    laid += [(black, np.full(31, 0.3)), (white, np.full(31, 0.5))]
    return laid


@pytest.fixture
def shop(machine, sit_down):
    return sit_down(machine)
