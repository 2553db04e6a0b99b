from dataclasses import dataclass

import numpy as np
import pytest

from sprayout_core.card import CardRefused, PatchResult, Rect, WindowKind, compare_with_steps
from sprayout_core.errors import Fault


def _patch(window, label, kind, light, grey=(0.2, 0.2, 0.2), refusal=None):
    return PatchResult(
        window, label, kind, Rect(0, 0, 1, 1), light, None, None, (0.02, 0.02, 0.04), 0, 0, 0, 0, grey, refusal=refusal
    )


@dataclass
class _Card:
    """As much of a card's result as the comparison reads."""

    patches: tuple
    uneven: float = 0.01

    def patch(self, window, label):
        return next(patch for patch in self.patches if (patch.window, patch.label) == (window, label))


CLIPPED = Fault("step card/1", "5% of its pixels are at zero in a channel", "Expose more.")
STEPS = (
    _patch("step card", "0", WindowKind.STEPS, (0.8, 0.8, 0.8)),
    _patch("step card", "1", WindowKind.STEPS, (0.6, 0.4, 0.7), grey=(0.1, 0.1, 0.1)),
    _patch("step card", "2", WindowKind.STEPS, None, refusal=CLIPPED),
)
PIECE = _patch("piece", "piece", WindowKind.SAMPLES, (0.5, 0.3, 0.6))


def test_everything_is_taken_over_the_grey_beside_it():
    compared = compare_with_steps(_Card((*STEPS, PIECE)))
    assert compared.coats == ("0", "1")
    assert compared.left_out == ("2",)
    assert compared.steps == pytest.approx(np.array([[4, 4, 4], [6, 4, 7]]))
    assert compared.piece == pytest.approx([2.5, 1.5, 3.0])
    assert compared.piece_doubt.shape == (3,)
    assert compared.piece_doubt[2] > compared.piece_doubt[0] > 0.01 / 1.7


def test_light_that_falls_on_one_half_only_half_as_strong_does_not_matter():
    halved = tuple(
        _patch(p.window, p.label, p.kind, p.light and tuple(v / 2 for v in p.light), tuple(g / 2 for g in p.grey))
        for p in STEPS[:2]
    )
    assert compare_with_steps(_Card((*halved, PIECE))).steps == pytest.approx(
        compare_with_steps(_Card((*STEPS[:2], PIECE))).steps
    )


def test_a_piece_without_colour_is_refused_with_its_own_reason():
    piece = _patch("piece", "piece", WindowKind.SAMPLES, None, refusal=CLIPPED)
    with pytest.raises(CardRefused, match="Expose more"):
        compare_with_steps(_Card((*STEPS, piece)))


def test_one_step_is_not_enough():
    with pytest.raises(CardRefused, match="1 of 2 steps can be used"):
        compare_with_steps(_Card((STEPS[0], STEPS[2], PIECE)))
