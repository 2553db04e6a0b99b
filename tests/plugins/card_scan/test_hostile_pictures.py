"""2,000 spoiled pictures: each is measured or refused, nothing else happens, nothing is written."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.card import CardRefused, CardResult
from sprayout_plugins.card_scan import Bounds, measure

KINDS = ({"kind": "jpeg"}, {"kind": "png"}, {"kind": "tiff"}, {"kind": "tiff", "bits": 16, "profile": "p3"})


@pytest.fixture(scope="module")
def whole(rendering, lay, target, pieces_frame):
    pieces, reference = lay(pieces_frame, {"target": target, "pieces": target})
    scene = rendering.Scene(dpi=85, rotate=0.4, margin=3, blur=0.4, profile="srgb", noise=0.002)
    light = rendering.seen(pieces_frame, pieces, scene)
    return [rendering.written(light, replace(scene, **kind)) for kind in KINDS], reference


def _spoiled(picture, rng):
    """Return the picture with one or several of: bytes changed, a piece cut out, doubled, zeroed, cut short."""
    spoiled = bytearray(picture)
    for _ in range(rng.integers(1, 4)):
        head = rng.random() < 0.5  # most of what can go wrong stands in the first kilobyte
        place = int(rng.integers(0, min(1000, len(spoiled)) if head else len(spoiled)))
        length = int(rng.integers(1, 64))
        match rng.integers(0, 6):
            case 0:
                spoiled[place : place + length] = rng.bytes(length)
            case 1:
                del spoiled[place : place + length]
            case 2:
                spoiled[place:place] = spoiled[place : place + length]
            case 3:
                spoiled[place : place + length] = bytes(length)
            case 4:
                spoiled[place] ^= 1 << int(rng.integers(0, 8))
            case _:
                del spoiled[max(place, 8) :]
        if len(spoiled) < 16:
            break
    return bytes(spoiled)


def _outcome(picture, frame, reference):
    try:
        result = measure(picture, frame, reference, Bounds(seconds=20))
    except CardRefused as refused:
        assert refused.fault.problem
        assert refused.fault.remedy
        return refused.reason
    assert isinstance(result, CardResult)
    for patch in result.patches:
        assert (patch.lab is None) == (patch.refusal is not None)
        assert patch.lab is None or np.isfinite([*patch.lab, patch.interval]).all()
    return "measured"


def _run(count, seed, whole, frame, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    pictures, reference = whole
    rng = np.random.default_rng(seed)
    spoiled = (_spoiled(pictures[number % len(pictures)], rng) for number in range(count))
    with ThreadPoolExecutor(2) as pool:
        outcomes = list(pool.map(lambda picture: _outcome(picture, frame, reference), spoiled))
    assert not list(tmp_path.iterdir())
    return {str(outcome): outcomes.count(outcome) for outcome in sorted(set(outcomes), key=str)}


def test_a_few_spoiled_pictures(whole, pieces_frame, tmp_path, monkeypatch):
    assert sum(_run(8, 1, whole, pieces_frame, tmp_path, monkeypatch).values()) == 8


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2, 12))
def test_2000_spoiled_pictures(seed, whole, pieces_frame, tmp_path, monkeypatch):
    """Ten times 200, each with spoilings of its own."""
    outcomes = _run(200, seed, whole, pieces_frame, tmp_path, monkeypatch)
    print("\n", outcomes)
    assert sum(outcomes.values()) == 200
    assert outcomes["damaged"] > 50
    assert len(outcomes) > 3
