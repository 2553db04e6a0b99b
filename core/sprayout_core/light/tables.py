"""The packaged tables of lights and observers, read when first asked for."""

from __future__ import annotations

from functools import lru_cache
from importlib import resources

import numpy as np
import numpy.typing as npt

__all__ = ["illuminant", "illuminant_names", "observer"]

Array = npt.NDArray[np.float64]


@lru_cache(maxsize=8)
def _table(name: str) -> tuple[tuple[str, ...], Array]:
    """Return the column names and the numbers of a table; NaN where the source tabulates nothing."""
    text = resources.files("sprayout_core.light").joinpath("tables", name).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    rows = [[float(cell) if cell else np.nan for cell in line.split(",")] for line in lines[1:]]
    numbers = np.array(rows)
    numbers.setflags(write=False)
    return tuple(lines[0].split(",")[1:]), numbers


def illuminant_names() -> tuple[str, ...]:
    """Return the names of the tabulated illuminants, in the order of the table."""
    return _table("illuminants.csv")[0]


def illuminant(name: str) -> tuple[Array, Array]:
    """Return wavelengths (nm) and relative power of a tabulated illuminant, both (n,), as published."""
    names, numbers = _table("illuminants.csv")
    power = numbers[:, 1 + names.index(name)]
    known = ~np.isnan(power)
    return numbers[known, 0], power[known]


def observer(degrees: int) -> tuple[Array, Array]:
    """Return wavelengths (nm) (n,) and colour-matching functions (n, 3) every 1 nm, as published."""
    _, numbers = _table(f"observer_{degrees}.csv")
    return numbers[:, 0], numbers[:, 1:]
