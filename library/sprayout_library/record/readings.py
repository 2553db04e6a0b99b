"""Taking in readings: each row of a table finds its panel, becomes a document, and is never taken twice."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sprayout_core.documents import Reading
from sprayout_core.errors import SprayoutError
from sprayout_core.tables import RowLeftOut, TableReading
from sprayout_library.record.names import Ambiguous, Names, NotKnown
from sprayout_library.record.writer import Writer

__all__ = ["Intake", "TakenIn", "reading_facts", "spot_of"]

_REFLECTANCE_DIGITS = 5
_COLOUR_DIGITS = 4


@dataclass(slots=True)
class TakenIn:
    """What came of one table: readings to save, those known already, and rows left out with reasons."""

    fresh: list[Reading] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    left_out: list[tuple[int, str]] = field(default_factory=list)


def quantised(value: float, digits: int) -> int | float:
    """Return a measured number on its quantum; whole ones as whole numbers, never a negative zero."""
    rounded = round(value, digits)
    return int(rounded) if rounded == int(rounded) else rounded


def spot_of(label: str) -> tuple[str, str | None]:
    """Return (panel's name, step or zone) of a row's label: "KF-2/3" is step 3 of KF-2."""
    name, slash, place = label.rpartition("/")
    return (name.strip(), place.strip()) if slash and name.strip() and place.strip() else (label.strip(), None)


def reading_facts(row: TableReading, panel: str, step: str | None, zone: str | None) -> dict[str, Any]:
    """Return the facts of a reading from one row. Raises SprayoutError where the row has no colour in it."""
    conditions = row.conditions
    one: dict[str, Any] = {"geometry": conditions.geometry}
    if row.values:
        one["spectrum"] = spectrum_facts(row.wavelengths, row.values, conditions.bandpass)
    if row.coordinates and conditions.illuminant and conditions.observer:
        lab = _lab(row.coordinates)
        if lab is not None:
            one["coordinates"] = {
                "lab": lab,
                "illuminant": conditions.illuminant,
                "observer": conditions.observer,
            }
    if len(one) == 1:
        raise SprayoutError("neither a spectrum nor L*a*b* with its light and observer", "Give the missing options.")
    facts: dict[str, Any] = {
        "panel": panel,
        "stage": {"surface": conditions.stage},
        "grade": "spectrum" if "spectrum" in one else "coordinates",
        "measured": [one],
    }
    if step is not None:
        facts["step"] = step
    if zone is not None:
        facts["zone"] = zone
    return facts


def spectrum_facts(wavelengths: tuple[float, ...], values: tuple[float, ...], bandpass: str) -> dict[str, Any]:
    """Return a spectrum as a document has it: an even grid where it is one, values on their quantum."""
    steps = {round(b - a, 6) for a, b in itertools.pairwise(wavelengths)}
    facts: dict[str, Any] = {"values": [quantised(value, _REFLECTANCE_DIGITS) for value in values]}
    if len(steps) == 1:
        first, last = wavelengths[0], wavelengths[-1]
        facts |= {
            "start_nm": quantised(first, 4),
            "end_nm": quantised(last, 4),
            "step_nm": quantised(steps.pop(), 4),
        }
    else:
        facts["wavelengths_nm"] = [quantised(nm, 4) for nm in wavelengths]
    if bandpass in ("corrected", "not-corrected"):
        facts["bandpass"] = bandpass
    return facts


def _lab(coordinates: Mapping[str, float]) -> list[int | float] | None:
    names = ("L*", "a*", "b*")
    if not all(name in coordinates for name in names):
        return None
    return [quantised(coordinates[name], _COLOUR_DIGITS) for name in names]


class Intake:
    """Takes rows in, one after another, for one source; nothing is saved by it."""

    def __init__(self, writer: Writer, names: Names, source_digest: str, panel: str | None = None) -> None:
        self.writer = writer
        self.names = names
        self.digest = source_digest
        self.panel = panel
        self.taken = TakenIn()
        self._ids: set[str] = set()

    def take(self, rows: Iterable[TableReading | RowLeftOut]) -> TakenIn:
        """Return what came of these rows; a row whose panel is not known is left out with the reason."""
        for row in rows:
            if isinstance(row, RowLeftOut):
                self.taken.left_out.append((row.line, row.reason))
                continue
            try:
                self._take_one(row)
            except SprayoutError as error:
                self.taken.left_out.append((row.line, str(error.fault)))
        return self.taken

    def _take_one(self, row: TableReading) -> None:
        panel, step, zone = self._spot(row.label)
        facts = reading_facts(row, panel, step, zone)
        place = f"line {row.line}" + (f", column {row.column}" if row.column else "")
        reading = self._reading(facts, place)
        count = 1
        while reading.id in self._ids:
            count += 1
            reading = self._reading({**facts, "repeat": count}, place)
        self._ids.add(reading.id)
        if self.writer.store.content(reading.id) is not None:
            self.taken.known.append(reading.id)
        else:
            self.taken.fresh.append(reading)

    def _reading(self, facts: dict[str, Any], place: str) -> Reading:
        reading = self.writer.new("reading", facts, source=self.digest, source_place=place)
        assert isinstance(reading, Reading)
        return reading

    def _spot(self, label: str) -> tuple[str, str | None, str | None]:
        if self.panel is not None:
            return self._on(self.panel, spot_of(label)[1])
        if not label.strip():
            raise NotKnown("the row names no panel", "Say which with --panel.")
        try:
            return self._on(self.names.find(label, "panel").id, None)
        except Ambiguous:
            raise
        except NotKnown:
            name, place = spot_of(label)
            if place is None:
                raise NotKnown(
                    f"no panel is called {label!r}", "Record the panel, or say which with --panel."
                ) from None
            return self._on(self.names.find(name, "panel").id, place)

    def _on(self, panel: str, place: str | None) -> tuple[str, str | None, str | None]:
        if place is None:
            return panel, None, None
        document = self.writer.store.get(panel)
        steps = getattr(document, "steps", None) or {}
        zones = getattr(document, "zones", None) or []
        zone = place.casefold().replace(" ", "_")
        if place in steps or place == "0":
            return panel, place, None
        if zone in zones:
            return panel, None, zone
        known = ", ".join([*steps, *zones]) or "none"
        raise NotKnown(f"the panel has no step or zone {place!r}", f"It has: {known}.")
