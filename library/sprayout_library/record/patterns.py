"""Patterns: readings of one table that differ in their values only are made from the first, which was checked whole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sprayout_core.documents import Measured, Reading, tree
from sprayout_core.documents.identity import reading_id
from sprayout_core.tables import Conditions, TableReading
from sprayout_library.record.placing import SpotFound

__all__ = ["Patterns", "quantised", "reflectances"]

_REFLECTANCE_DIGITS = 5
#: Within these, a reflectance factor is one under every geometry; others are checked as a whole document is.
_LOWEST, _HIGHEST = -1.0, 2.0


def quantised(value: float, digits: int) -> int | float:
    """Return a measured number on its quantum; whole ones as whole numbers, never a negative zero."""
    rounded = round(value, digits)
    return int(rounded) if rounded.is_integer() else rounded


def reflectances(values: Sequence[float]) -> list[int | float]:
    """Return reflectance factors on their quantum."""
    rounded: list[int | float] = [round(value, _REFLECTANCE_DIGITS) for value in values]
    for place, value in enumerate(rounded):
        if value in (0.0, 1.0, 2.0) or not -1.0 < value < 3.0:
            rounded[place] = quantised(value, _REFLECTANCE_DIGITS)
    return rounded


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A reading made and checked whole, with what of its row must be the same again, and its facts as they are said."""

    conditions: Conditions
    wavelengths: tuple[float, ...]
    reading: Reading
    measured: Measured
    spectrum: dict[str, Any]
    said: dict[str, Any]

    def fits(self, row: TableReading) -> bool:
        same = row.wavelengths is self.wavelengths or row.wavelengths == self.wavelengths
        alike = row.conditions is self.conditions or row.conditions == self.conditions
        return same and alike and not row.coordinates and len(row.values) == len(self.wavelengths)


class Patterns:
    """Makes readings like one made before; where anything but label, place and values differs it makes none.

    What is made so equals what the whole way makes, which checks every member twice (a test holds it to that);
    it takes a fraction of the time.
    """

    def __init__(self) -> None:
        self._last: _Pattern | None = None

    def keep(self, row: TableReading, reading: Reading) -> None:
        """Remember a reading that was made whole from one row, if it is a spectrum and nothing else."""
        if row.values and not row.coordinates and reading.repeat is None and reading.grade == "spectrum":
            facts = tree(reading)
            said = {name: facts[name] for name in ("stage", "grade")}
            spectrum = facts["measured"][0]["spectrum"]
            self._last = _Pattern(row.conditions, row.wavelengths, reading, reading.measured[0], spectrum, said)

    def like(self, row: TableReading, spot: SpotFound, place: str) -> Reading | None:
        """Return the reading of a row at a spot, or None where it must be made whole."""
        last = self._last
        if last is None or not last.fits(row) or not place:
            return None
        values = reflectances(row.values)
        if not (min(values) >= _LOWEST and max(values) <= _HIGHEST):  # not so for what is no number, either
            return None
        said = last.said | {"panel": spot.panel}
        said["measured"] = [{"geometry": last.measured.geometry, "spectrum": last.spectrum | {"values": values}}]
        if spot.step is not None:
            said["step"] = spot.step
        if spot.zone is not None:
            said["zone"] = spot.zone
        reading = last.reading
        spectrum = last.measured.spectrum
        assert spectrum is not None
        return reading.model_copy(
            update={
                "id": reading_id(said),
                "panel": spot.panel,
                "step": spot.step,
                "zone": spot.zone,
                "measured": [
                    last.measured.model_copy(update={"spectrum": spectrum.model_copy(update={"values": values})})
                ],
                "provenance": reading.provenance.model_copy(update={"source_place": place}),
            }
        )
