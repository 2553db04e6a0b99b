"""CIEDE2000 with weights in its name: "ciede2000-2-1-1" counts a step in lightness half."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sprayout_core.tables import Differences
from sprayout_plugins.hooks import answers

__all__ = ["colour_differences", "sprayout_contract"]

sprayout_contract = "1.0"

_NAME = re.compile(r"ciede2000-(\d{1,2}(?:\.\d{1,3})?)-(\d{1,2}(?:\.\d{1,3})?)-(\d{1,2}(?:\.\d{1,3})?)")


@answers
def colour_differences(
    formula: str, standard: Sequence[Sequence[float]], trial: Sequence[Sequence[float]]
) -> Differences | None:
    """Compute CIEDE2000 (ISO/CIE 11664-6) with the parametric factors kL, kC and kH that the name says."""
    found = _NAME.fullmatch(formula)
    if found is None:
        return None
    import numpy as np

    from sprayout_core.difference import Weights, ciede2000

    weights = Weights(*(float(number) for number in found.groups()))
    values = ciede2000(np.array(standard, dtype=float), np.array(trial, dtype=float), weights)
    return Differences(formula, tuple(float(value) for value in values))
