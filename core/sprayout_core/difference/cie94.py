"""The CIE94 colour difference (CIE 116-1995)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.blocks import in_blocks
from sprayout_core.difference.hue import hue_step
from sprayout_core.difference.weights import GRAPHIC_ARTS, Cie94Weights

__all__ = ["cie94"]

Array = npt.NDArray[np.float64]


def cie94(standard: npt.ArrayLike, trial: npt.ArrayLike, weights: Cie94Weights = GRAPHIC_ARTS) -> Array:
    """Return the CIE94 difference of pairs of CIELAB colours.

    standard  L*, a*, b*; its chroma sets the weights       (..., 3)
    trial     L*, a*, b*, same view                         (..., 3)
    weights   GRAPHIC_ARTS unless given, or TEXTILES
    returns   difference                                    (...)
    raises    ShapeError, NotFiniteError

    CIE 116-1995. Not symmetric: swapping standard and trial changes the value.
    """
    return in_blocks(lambda first, second: _block(first, second, weights), standard, trial)


def _block(first: Array, second: Array, weights: Cie94Weights) -> Array:
    lightness1, a1, b1 = first
    lightness2, a2, b2 = second
    chroma = np.hypot(a1, b1)
    light = (lightness2 - lightness1) / weights.lightness
    clean = (np.hypot(a2, b2) - chroma) / (weights.chroma * (1.0 + weights.k1 * chroma))
    turned = hue_step(a1, b1, a2, b2) / (weights.hue * (1.0 + weights.k2 * chroma))
    result: Array = np.sqrt(light * light + clean * clean + turned * turned)
    return result
