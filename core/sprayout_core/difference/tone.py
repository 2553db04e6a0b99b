"""A single colour in plain words: how light, how strong, and of which hue."""

from __future__ import annotations

import numpy.typing as npt

from sprayout_core.light import lch

__all__ = ["tone"]

_GREY, _GREYISH = 6.0, 20.0
_LIGHTNESS = ((20.0, "very dark"), (40.0, "dark"), (65.0, "medium"), (85.0, "light"))
_HUES = (
    (40.0, "red"),
    (70.0, "orange"),
    (100.0, "yellow"),
    (135.0, "yellow green"),
    (175.0, "green"),
    (225.0, "teal"),
    (285.0, "blue"),
    (320.0, "violet"),
    (350.0, "purple"),
)


def tone(lab: npt.ArrayLike) -> str:
    """Return one colour in words, such as "dark teal" or "light greyish blue".

    lab  L*, a*, b*                                                      (3,)

    The words are our own and coarse: L* by steps of about 20, grey below a chroma of 6, greyish below 20, nine
    hues by their CIELAB hue angle. They name, they do not judge.
    """
    lightness, chroma, hue = (float(value) for value in lch(lab))
    light = next((word for limit, word in _LIGHTNESS if lightness < limit), "very light")
    if chroma < _GREY:
        return f"{light} grey"
    name = next((word for limit, word in _HUES if hue < limit), "red")
    return f"{light} {name}" if chroma >= _GREYISH else f"{light} greyish {name}"
