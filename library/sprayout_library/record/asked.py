"""What comes from outside for a comparison: a light as a table, a difference formula from a plugin."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from sprayout_core.errors import FaultsError, SprayoutError

if TYPE_CHECKING:
    from sprayout_core.difference import Formula
    from sprayout_core.light import Light

__all__ = ["formula_of_plugin", "light_from_file"]

_LARGEST = 1_000_000


def light_from_file(path: Path) -> Light:
    """Return a light from a table of two columns, wavelength in nm and relative power, a heading line first.

    It is called by the file's name. Raises SprayoutError naming the line, and what `light_from_table` raises.
    """
    from sprayout_core.light import light_from_table

    try:
        if not path.is_file() or path.stat().st_size > _LARGEST:
            raise SprayoutError("is no table of a light", "Give a CSV of wavelength and power.", place=str(path))
        lines = list(csv.reader(path.read_text(encoding="utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise SprayoutError(f"cannot be read: {error}", "Save it as UTF-8 text.", place=str(path)) from None
    wavelengths, powers = [], []
    for number, cells in enumerate(lines[1:], 2):
        if not any(cell.strip() for cell in cells):
            continue
        try:
            nm, power = (float(cell) for cell in cells)
        except ValueError:
            raise SprayoutError(
                f"{','.join(cells)!r} is not a wavelength and a power",
                "Write two numbers apart by a comma, with a decimal point.",
                place=f"{path.name}, line {number}",
            ) from None
        wavelengths.append(nm)
        powers.append(power)
    return light_from_table(path.stem, wavelengths, powers)


def formula_of_plugin(name: str) -> Formula:
    """Return a difference formula that an installed plugin knows. Raises SprayoutError where none does."""
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.difference import FORMULAS
    from sprayout_core.tables import Differences
    from sprayout_plugins import guard, registry

    def asked(standard: npt.ArrayLike, trial: npt.ArrayLike) -> npt.NDArray[np.float64]:
        first, second = np.broadcast_arrays(np.asarray(standard, dtype=float), np.asarray(trial, dtype=float))
        rows = [array.reshape(-1, 3).tolist() for array in (first, second)]
        found = []
        for answer in guard.ask(registry.find(), "colour_differences", formula=name, standard=rows[0], trial=rows[1]):
            if answer.failure is not None:
                raise FaultsError(answer.failure.faults)
            if isinstance(answer.value, Differences):
                found.append(answer.value)
        if len(found) != 1:
            told = "no plugin knows" if not found else "several plugins know"
            raise SprayoutError(f"{told} a difference called {name!r}", f"Built in: {', '.join(FORMULAS)}.")
        values = np.array(found[0].values, dtype=float)
        if values.shape != (len(rows[0]),) or not np.isfinite(values).all() or (values < 0).any():
            raise SprayoutError(f"the plugin's {name!r} gave no difference for each pair", "Tell its author.")
        return values.reshape(first.shape[:-1])

    return asked
