"""The spectra of a panel, or of one step or zone of it, by its name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError
from sprayout_library.film.gathering import GRID, spectrum_on
from sprayout_library.record.evidence import evidence_for
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_from_words
from sprayout_library.store import Store

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]

__all__ = ["spectra_named"]


class _ByGeometry(dict[str, "Array"]):
    """Readings by geometry; one that is not there is refused with what there is."""

    def __missing__(self, geometry: str) -> Array:
        raise SprayoutError(f"not measured at {geometry}", f"It was measured at {', '.join(sorted(self))}: --geometry.")


def spectra_named(store: Store, names: Names, text: str) -> tuple[Array, dict[str, Array]]:
    """Return (wavelengths in nm (31,), mean reading by geometry (31,)) of "KF-4" or "KF-2/5".

    Raises SprayoutError where there is no spectrum of it.
    """
    import numpy as np

    piece = piece_from_words(text, names, store)
    readings = [
        one
        for one in evidence_for(store, "reading").readings.get(piece.panel, [])
        if one.withdrawn is None and one.step == piece.step and one.zone == piece.zone
    ]
    rows: dict[str, list[Array]] = {}
    for reading in readings:
        for one in reading.measured:
            values = spectrum_on(reading, one.geometry)
            if values is not None:
                rows.setdefault(one.geometry, []).append(values)
    if not rows:
        raise SprayoutError(f"{text} has no spectrum from 400 to 700 nm", "Take one in: sprayout import FILE.csv")
    means = {geometry: np.mean(np.array(values), axis=0) for geometry, values in rows.items()}
    return np.array(GRID, dtype=float), _ByGeometry(means)
