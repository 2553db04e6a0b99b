"""The difference formulas by the name a record stores; a plugin's formula is a function of the same shape."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from sprayout_core.difference.cie76 import cie76
from sprayout_core.difference.cie94 import cie94
from sprayout_core.difference.ciede2000 import ciede2000
from sprayout_core.difference.cmc import cmc
from sprayout_core.difference.din99 import din99, din99o
from sprayout_core.difference.weights import GRAPHIC_ARTS, TEXTILES, DifferenceError

__all__ = ["FORMULAS", "Formula", "UnknownFormulaError", "formula"]

Formula = Callable[[npt.ArrayLike, npt.ArrayLike], npt.NDArray[np.float64]]
"""Takes standards and trials, L*, a*, b* (..., 3) each, and returns differences (...)."""


class UnknownFormulaError(DifferenceError):
    """A difference formula that neither the core nor a plugin brings."""


FORMULAS: Mapping[str, Formula] = MappingProxyType(
    {
        "cie1976": cie76,
        "cie94-graphic-arts": partial(cie94, weights=GRAPHIC_ARTS),
        "cie94-textiles": partial(cie94, weights=TEXTILES),
        "cmc-1-1": partial(cmc, lightness=1.0, chroma=1.0),
        "cmc-2-1": partial(cmc, lightness=2.0, chroma=1.0),
        "ciede2000": ciede2000,
        "din99": din99,
        "din99o": din99o,
    }
)


def formula(name: str, extra: Mapping[str, Formula] = MappingProxyType({})) -> Formula:
    """Return the difference formula with a name.

    name   a key of FORMULAS, or of `extra`
    extra  formulas that plugins bring, by name; they may not take a name of the core's
    raises UnknownFormulaError
    """
    taken = sorted(set(extra) & set(FORMULAS))
    if taken:
        raise UnknownFormulaError(
            f"a plugin brings its own {taken[0]!r}",
            "Give the plugin's formula its own name.",
            place="formula",
        )
    known = {**FORMULAS, **extra}
    if name not in known:
        raise UnknownFormulaError(
            f"no difference formula is called {name!r}", f"Use one of {', '.join(known)}.", place="formula"
        )
    return known[name]
