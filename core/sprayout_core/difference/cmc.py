"""The CMC(l:c) colour difference (ISO 105-J03)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.blocks import in_blocks
from sprayout_core.difference.hue import hue_step
from sprayout_core.difference.weights import positive

__all__ = ["cmc"]

Array = npt.NDArray[np.float64]


def cmc(standard: npt.ArrayLike, trial: npt.ArrayLike, lightness: float = 2.0, chroma: float = 1.0) -> Array:
    """Return the CMC(l:c) difference of pairs of CIELAB colours.

    standard   L*, a*, b*; it sets the weights                            (..., 3)
    trial      L*, a*, b*, same view                                      (..., 3)
    lightness  l: 2 for acceptability unless given, 1 for perceptibility
    chroma     c
    returns    difference                                                 (...)
    raises     ShapeError, NotFiniteError, WeightsError

    ISO 105-J03. Not symmetric: swapping standard and trial changes the value.
    """
    positive(lightness, "lightness")
    positive(chroma, "chroma")
    return in_blocks(lambda first, second: _block(first, second, lightness, chroma), standard, trial)


def _block(first: Array, second: Array, l: float, c: float) -> Array:  # noqa: E741  (the standard's letters)
    lightness1, a1, b1 = first
    lightness2, a2, b2 = second
    chroma1 = np.hypot(a1, b1)
    hue = np.degrees(np.arctan2(b1, a1)) % 360.0
    cool = (hue >= 164.0) & (hue <= 345.0)
    turn = np.where(
        cool,
        0.56 + np.abs(0.2 * np.cos(np.radians(hue + 168.0))),
        0.36 + np.abs(0.4 * np.cos(np.radians(hue + 35.0))),
    )
    fourth = np.square(np.square(chroma1))
    share = np.sqrt(fourth / (fourth + 1900.0))
    scale_l = np.where(lightness1 < 16.0, 0.511, 0.040975 * lightness1 / (1.0 + 0.01765 * lightness1))
    scale_c = 0.0638 * chroma1 / (1.0 + 0.0131 * chroma1) + 0.638
    scale_h = scale_c * (turn * share + 1.0 - share)
    light = (lightness2 - lightness1) / (l * scale_l)
    clean = (np.hypot(a2, b2) - chroma1) / (c * scale_c)
    turned = hue_step(a1, b1, a2, b2) / scale_h
    result: Array = np.sqrt(light * light + clean * clean + turned * turned)
    return result
