from dataclasses import replace

import numpy as np
import pytest

from sprayout_core.card import CardResult, Reference, choose_model, samples_frame
from sprayout_core.light import View, lab

LIGHT = np.random.default_rng(1).uniform(0.1, 0.9, (24, 3))
MODEL = choose_model({"as it is": LIGHT}, lab(LIGHT, np.ones(3)))
FRAME = samples_frame("M2X9AB")
FIRST = (FRAME, Reference("made up", View(), {}), "0" * 64, "none", "", 8, 11.8, 0.1, 0.01, 0.9, MODEL)


def _result(*overlay, **named):
    """As a card reader of contract 1.0 makes it: by place, up to the overlay."""
    return CardResult(*FIRST, (), {}, {}, ("a note",), *overlay, **named)


def test_an_overlay_may_be_bytes():
    assert _result(b"PNG").overlay == b"PNG"
    assert _result(overlay=b"PNG").overlay == b"PNG"
    assert replace(_result(b"PNG"), bits=16).overlay == b"PNG"
    assert _result(b"PNG").grade == "image-derived"


def test_an_overlay_may_be_drawn_when_it_is_first_read():
    drawn = []
    result = _result(lambda: drawn.append(1) or b"PNG")
    other = _result(b"other")
    assert drawn == []
    assert [result.overlay, result.overlay, other.overlay] == [b"PNG", b"PNG", b"other"]
    assert drawn == [1]


def test_an_overlay_that_cannot_be_drawn_is_tried_again():
    answers = [OSError("gone"), b"PNG"]

    def draw():
        answer = answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer

    result = _result(draw)
    with pytest.raises(OSError, match="gone"):
        _ = result.overlay
    assert result.overlay == b"PNG"


def test_an_overlay_must_be_given():
    with pytest.raises(TypeError, match="overlay"):
        _result()
