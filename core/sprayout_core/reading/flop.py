"""The flop index: how much the lightness falls from the face to the flop (Alman 1987)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.light import Colour, View
from sprayout_core.reading.angles import Angle
from sprayout_core.reading.errors import FlopError

__all__ = ["FLOP_FORMULA", "Flop", "flop", "flop_index"]

Array = npt.NDArray[np.float64]

FLOP_FORMULA = "alman-1987"
"""The id stored with a value: other indices go by the same name and give other numbers."""

_VIEW = View("D65", 10)
_ANGLES = (Angle(45.0, 15.0), Angle(45.0, 45.0), Angle(45.0, 110.0))


@dataclass(frozen=True, slots=True)
class Flop:
    """A flop index with the id of its formula."""

    value: float
    formula: str = FLOP_FORMULA

    def __str__(self) -> str:
        return f"flop index {self.value:.2f} ({self.formula})"


def flop_index(l15: npt.ArrayLike, l45: npt.ArrayLike, l110: npt.ArrayLike) -> Array:
    """Return the flop index of lightness at three aspecular angles.

    l15, l45, l110  CIELAB L* (D65, 10 degrees) at 45as15, 45as45, 45as110; above 100 is legal   (...)
    returns         2.69 (l15 - l110)^1.11 / l45^0.86: 0 for a solid, 15 and more for a strong flop   (...)
    raises          FlopError where l15 < l110 or l45 is not above zero: there it has no meaning

    Alman (1987); constants from memory, not seen in an open source.
    """
    face, middle, far = (np.asarray(values, dtype=float) for values in (l15, l45, l110))
    if not (np.isfinite(face).all() and np.isfinite(middle).all() and np.isfinite(far).all()):
        raise FlopError("a lightness is not a number", "Measure the panel again.", place="flop index")
    if (middle <= 0).any():
        raise FlopError(
            "the lightness at 45as45 is zero or less",
            "The index divides by it; there is none for so dark a panel.",
            place="45as45",
        )
    fall = face - far
    if (fall < 0).any():
        raise FlopError(
            "the panel is darker at 45as15 than at 45as110",
            "The index is for panels that darken away from the gloss; look at the travel curve instead.",
            place="45as15",
        )
    result: Array = 2.69 * fall**1.11 / middle**0.86
    return result


def flop(colours: Mapping[Angle, Colour]) -> Flop:
    """Return the flop index of a multi-angle reading, one colour (3,) for each angle.

    raises  FlopError where an angle is missing or the view is not D65 and 10 degrees
    """
    lightness = []
    for angle in _ANGLES:
        if angle not in colours:
            raise FlopError(
                f"nothing was measured at {angle}",
                f"The index needs {', '.join(str(needed) for needed in _ANGLES)}.",
                place="flop index",
            )
        seen = colours[angle]
        if seen.view != _VIEW:
            raise FlopError(f"the colour is for {seen.view}", f"The index is defined for {_VIEW}.", place=str(angle))
        lightness.append(float(seen.lab[0]))
    return Flop(float(flop_index(*lightness)))
