"""What is known of a panel, or of one step or zone of it: by grade, stage and geometry, never mixed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.documents import Panel, Piece, Reading
from sprayout_core.errors import SprayoutError
from sprayout_library.film.gathering import GRID, spectrum_on
from sprayout_library.record.about import evidence_of_panels
from sprayout_library.record.measured import colours_of, spots
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_from_words
from sprayout_library.store import Store

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.light import View

    Array = npt.NDArray[np.float64]

__all__ = ["GRADES", "METERS", "Seen", "coats_counted", "in_words", "seen_of", "spectra_named"]

#: What a colour is known by, the surest first.
GRADES = ("spectrum", "coordinates", "typed", "image-derived")
#: What a meter gave.
METERS = GRADES[:3]
_WORDS = {
    "spectrum": "a spectrum",
    "coordinates": "measured L*a*b*",
    "typed": "typed L*a*b*",
    "image-derived": "a card in a picture",
}


def in_words(grade: str) -> str:
    """Return what a colour is known by, as people say it."""
    return _WORDS.get(grade, grade)


@dataclass(frozen=True, slots=True)
class Seen:
    """One spot of a panel as one grade of reading knows it.

    zone, step, stage   which spot, in which state of its surface
    grade      one of `GRADES`
    spectra    reflectance factors on the grid of film optics by geometry, for spectra only    (31,)
    colours    L*, a*, b* in the view asked for, by geometry                                   (3,)
    doubt      dE00 that holds the error 95 times in 100; 0 where the reading does not say
    """

    zone: str
    step: str
    stage: str
    grade: str
    spectra: Mapping[str, Array]
    colours: Mapping[str, Array]
    doubt: float


def seen_of(readings: Sequence[Reading], view: View) -> list[Seen]:
    """Return what is known of each spot of one panel, the surest grade first; withdrawn readings do not count."""
    import numpy as np

    found = []
    colours = {one.spot: one.seen for one in colours_of(readings, view)}
    for spot, repeats in spots(readings).items():
        spectra = dict(_spectra(repeats)) if spot.grade == "spectrum" else {}
        doubts = [float(m.uncertainty) for one in repeats for m in one.measured if m.uncertainty is not None]
        known = {geometry: np.array(colour.lab) for geometry, colour in colours.get(spot, {}).items()}
        if known:
            found.append(Seen(spot.zone, spot.step, spot.stage, spot.grade, spectra, known, max(doubts, default=0.0)))
    return sorted(found, key=lambda one: GRADES.index(one.grade))


def _spectra(repeats: Sequence[Reading]) -> Iterator[tuple[str, Array]]:
    import numpy as np

    rows: dict[str, list[Array]] = {}
    for reading in repeats:
        for one in reading.measured:
            values = spectrum_on(reading, one.geometry)
            if values is not None:
                rows.setdefault(one.geometry, []).append(values)
    for geometry, repeated in rows.items():
        yield geometry, np.mean(np.array(repeated), axis=0)


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
    readings = evidence_of_panels(store, [piece.panel], "reading").readings.get(piece.panel, [])
    here = [one for one in readings if one.grade == "spectrum" and one.step == piece.step and one.zone == piece.zone]
    # Of several stages the last one done to the piece counts: bare and cleared are not averaged.
    for stage in ("polished", "cleared", "bare"):
        repeats = [one for spot, kept in spots(here).items() if spot.stage == stage for one in kept]
        if means := dict(_spectra(repeats)):
            return np.array(GRID, dtype=float), _ByGeometry(means)
    raise SprayoutError(f"{text} has no spectrum from 400 to 700 nm", "Take one in: sprayout import FILE.csv")


def coats_counted(panel: Panel, piece: Piece) -> float | None:
    """Return how many coats were counted on a panel, or on one step of it; None where nobody is sure."""
    if piece.step and panel.steps and piece.step in panel.steps:
        return float(panel.steps[piece.step])
    counts = [coat.count for coat in panel.coats or []]
    if not counts or panel.steps or not all(count.isdigit() for count in counts):
        return None
    return float(sum(int(count) for count in counts))
