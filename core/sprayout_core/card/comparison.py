"""A piece beside the step card in one picture: the same light for both, so no correction is needed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.card.layout import WindowKind
from sprayout_core.card.refusal import CardRefused, Refusal
from sprayout_core.card.result import CardResult, PatchResult

__all__ = ["StepComparison", "compare_with_steps"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class StepComparison:
    """Linear light of steps and piece in one frame.

    coats    the steps' labels, in order along the card: n
    steps    linear light over that of the grey strip beside each step     (n, 3)
    piece    the same of the piece                                        (3,)
    step_doubt, piece_doubt   relative standard uncertainty               (n, 3), (3,)
    left_out labels of steps that could not be used
    """

    coats: tuple[str, ...]
    steps: Array
    piece: Array
    step_doubt: Array
    piece_doubt: Array
    left_out: tuple[str, ...]


def compare_with_steps(
    result: CardResult, step_window: str = "step card", piece_window: str = "piece", piece: str = "piece"
) -> StepComparison:
    """Return steps and piece on one scale, ready for the logarithm of each channel against coats.

    raises  CardRefused where the piece, or all but one of the steps, has no colour
    """
    steps = [patch for patch in result.patches if patch.window == step_window and patch.kind is WindowKind.STEPS]
    used = [patch for patch in steps if patch.light is not None]
    shown = result.patch(piece_window, piece)
    if shown.light is None or shown.refusal is not None:
        told = shown.refusal
        raise CardRefused(
            Refusal.CLIPPED,
            told.problem if told else "the piece was not read",
            told.remedy if told else "Take the picture again.",
            place=f"{piece_window}/{piece}",
        )
    if len(used) < 2:
        raise CardRefused(
            Refusal.CLIPPED,
            f"{len(used)} of {len(steps)} steps can be used, 2 are needed",
            "Take the picture again with less light, without automatic exposure.",
            place=step_window,
        )
    return StepComparison(
        tuple(patch.label for patch in used),
        np.stack([_beside_grey(patch) for patch in used]),
        _beside_grey(shown),
        np.stack([_doubt(patch, result.uneven) for patch in used]),
        _doubt(shown, result.uneven),
        tuple(patch.label for patch in steps if patch.light is None),
    )


def _beside_grey(patch: PatchResult) -> Array:
    beside: Array = np.asarray(patch.light) / np.asarray(patch.grey or (1.0, 1.0, 1.0))
    return beside


def _doubt(patch: PatchResult, uneven: float) -> Array:
    # the misfit of the light bounds 90 %, which is 1.64 standard deviations; a median of many pixels adds a
    # little of their spread, taken as that of 100 independent ones
    doubt: Array = np.hypot(uneven / 1.64, 1.25 * np.asarray(patch.spread) / 10.0)
    return doubt
