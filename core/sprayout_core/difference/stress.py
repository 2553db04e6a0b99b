"""How well a difference formula tells what people see (STRESS, Garcia et al. 2007)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.weights import DifferenceError

__all__ = ["stress"]


def stress(computed: npt.ArrayLike, seen: npt.ArrayLike) -> float:
    """Return the standardised residual sum of squares between computed and seen differences.

    computed  differences by a formula, n pairs                      (n,)
    seen      visual differences of the same pairs, on any scale     (n,)
    returns   0 (the formula is the eye but for a factor) to 1
    raises    DifferenceError for fewer than two pairs, or where one side is nothing but zeros

    Garcia, Huertas, Melgosa, Cui (2007). Symmetric; a factor on either side changes nothing.
    """
    formula, eye = np.asarray(computed, dtype=float), np.asarray(seen, dtype=float)
    if formula.ndim != 1 or formula.shape != eye.shape or formula.size < 2:
        raise DifferenceError(
            f"{formula.size} computed and {eye.size} seen differences",
            "Give two pairs or more, and as many of both.",
            place="seen",
        )
    if not (np.isfinite(formula).all() and np.isfinite(eye).all()) or (formula < 0).any() or (eye < 0).any():
        raise DifferenceError("a difference is negative or not a number", "Correct it.", place="seen")
    crossed = float(formula @ eye)
    if crossed <= 0.0:
        raise DifferenceError("one side holds nothing but zeros", "Give differences that were seen.", place="seen")
    return float(np.sqrt(max(0.0, 1.0 - crossed**2 / float((formula @ formula) * (eye @ eye)))))
