import json

import pytest

from sprayout_core.card import frame_from_tree, frame_tree, samples_frame, step_frame
from sprayout_core.errors import FaultsError, SprayoutError


@pytest.mark.parametrize("frame", [step_frame("K7F3Q2"), samples_frame("M2X9AB", paper="Letter")])
def test_a_frame_comes_back_as_it_was(frame):
    again = frame_from_tree(json.loads(json.dumps(frame_tree(frame))))
    assert again == frame
    assert again.identity_text() == frame.identity_text()


@pytest.mark.parametrize("spoil", [{"windows": 5}, {"windows": [{}]}, {"width": "wide"}, {"windows": [None]}])
def test_what_is_no_frame_is_told(spoil):
    with pytest.raises(SprayoutError, match="no card frame"):
        frame_from_tree(frame_tree(step_frame("K7F3Q2")) | spoil)


def test_a_frame_that_cannot_be_is_told_with_its_faults():
    with pytest.raises(FaultsError, match="none"):
        frame_from_tree(frame_tree(step_frame("K7F3Q2")) | {"windows": []})
