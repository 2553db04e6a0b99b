"""How many coats is this? A piece beside its own step card in one picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sprayout_core.card import CardResult
    from sprayout_core.film import CoatCount

__all__ = ["coats_in"]

_LEAST_NOISE = 2e-3


def coats_in(result: CardResult, counts: Mapping[str, int]) -> CoatCount:
    """Return how many coats of the step card the piece comes to, from linear light in the same picture.

    counts  coats of each step by its label

    Both lie beside grey strips in one light, so neither a correction nor the known colours' accuracy enters.
    Raises CardRefused where piece or steps cannot be used, SprayoutError where a step's coats are not known.
    """
    import numpy as np

    from sprayout_core.card import compare_with_steps
    from sprayout_core.film import StepCard, coats_of

    seen = compare_with_steps(result)
    unknown = [label for label in seen.coats if label not in counts]
    if unknown:
        raise SprayoutError(f"nobody said how many coats {', '.join(unknown)} is", "Print a card with --steps PANEL.")
    grey = np.mean(np.asarray(result.patch("piece", "piece").grey or (1.0, 1.0, 1.0)))
    order = np.argsort([counts[label] for label in seen.coats], kind="stable")
    card = StepCard(
        np.array([counts[label] for label in seen.coats], dtype=float)[order],
        np.maximum(seen.steps[order] * grey, 1e-4),
    )
    piece = np.maximum(seen.piece * grey, 1e-4)
    doubt = np.hypot(float(np.max(seen.piece_doubt)), float(np.max(seen.step_doubt)))
    return coats_of(card, piece, noise=max(_LEAST_NOISE, float(doubt * piece.max())))
