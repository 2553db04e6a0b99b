"""Taking in readings: each row of a table finds its panel, becomes a document, and is never taken twice."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field
from typing import Any

from sprayout_core.documents import Reading, made
from sprayout_core.errors import Fault, SprayoutError
from sprayout_core.tables import TYPED, RowLeftOut, TableReading
from sprayout_library.record.names import Names
from sprayout_library.record.patterns import Patterns, ReadyReading, quantised, ready, reflectances
from sprayout_library.record.placing import SpotFound, SpotNotFound, Spots, spot_of
from sprayout_library.record.writer import Writer, now_text, tool_name
from sprayout_library.store import Store, path_of

__all__ = ["Intake", "TakenIn", "Unplaced", "reading_facts", "reading_facts_of", "spot_of"]

_COLOUR_DIGITS = 4
_MANY = 500
"""For more readings at once than this, all that the library has are listed, instead of asking for each."""


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A reading whose panel is not known yet: the row with all its data, and why."""

    row: TableReading
    reason: str


@dataclass(slots=True)
class TakenIn:
    """What came of rows: readings to save, those known already, those without a panel, and rows left out.

    placed  each row that is a reading, with the reading's id
    broken  what is wrong with rows that can be no reading as they are
    """

    fresh: list[ReadyReading] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    unplaced: list[Unplaced] = field(default_factory=list)
    left_out: list[tuple[int, str]] = field(default_factory=list)
    placed: list[tuple[TableReading, str]] = field(default_factory=list)
    broken: list[Fault] = field(default_factory=list)


def reading_facts(row: TableReading, panel: str, step: str | None, zone: str | None) -> dict[str, Any]:
    """Return the facts of a reading from one row. Raises SprayoutError where the row has no colour in it."""
    return reading_facts_of((row,), SpotFound(panel, step, zone))


def reading_facts_of(rows: Sequence[TableReading], spot: SpotFound) -> dict[str, Any]:
    """Return the facts of one reading from its rows, one for each geometry; typed ones say so in their grade.

    Raises SprayoutError where a row has no colour in it.
    """
    measured = sorted((_measured(row) for row in rows), key=lambda one: str(one["geometry"]))
    first = rows[0]
    grade = "spectrum" if all("spectrum" in one for one in measured) else "coordinates"
    if TYPED.items() <= first.keys.items():
        grade = "typed"
    facts: dict[str, Any] = {
        "panel": spot.panel,
        "stage": {"surface": first.conditions.stage},
        "grade": grade,
        "measured": measured,
    }
    if spot.step is not None:
        facts["step"] = spot.step
    if spot.zone is not None:
        facts["zone"] = spot.zone
    return facts


def _measured(row: TableReading) -> dict[str, Any]:
    conditions = row.conditions
    one: dict[str, Any] = {"geometry": conditions.geometry}
    if row.values:
        one["spectrum"] = _grid(row.wavelengths, conditions.bandpass) | {"values": reflectances(row.values)}
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
    return one


def _grid(wavelengths: tuple[float, ...], bandpass: str) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    steps = {round(b - a, 6) for a, b in itertools.pairwise(wavelengths)}
    if len(steps) == 1:
        facts = {
            "start_nm": quantised(wavelengths[0], 4),
            "end_nm": quantised(wavelengths[-1], 4),
            "step_nm": quantised(steps.pop(), 4),
        }
    else:
        facts = {"wavelengths_nm": [quantised(nm, 4) for nm in wavelengths]}
    if bandpass in ("corrected", "uncorrected"):
        facts["bandpass"] = "corrected" if bandpass == "corrected" else "not-corrected"
    return facts


def _lab(coordinates: Mapping[str, float]) -> list[int | float] | None:
    names = ("L*", "a*", "b*")
    if not all(name in coordinates for name in names):
        return None
    return [quantised(coordinates[name], _COLOUR_DIGITS) for name in names]


def _told(row: TableReading, fault: Fault) -> Fault:
    place = ", ".join(filter(None, (_place(row), row.label, fault.place)))
    return Fault(place, fault.problem, fault.remedy)


def _place(row: TableReading) -> str:
    return f"line {row.line}" + (f", column {row.column}" if row.column else "") if row.line else ""


class Intake:
    """Takes the rows of one source in, in as many goes as wanted; nothing is saved by it.

    source_digest  SHA-256 of the source, written into where each reading came from; empty for typed ones
    panel          id of the panel that all rows are of; otherwise each row's name finds it
    named          what the source's own name says they are of, `KF-2` or `KF-2/3`
    taken_before   ids of readings that are about to be saved with these; may grow meanwhile
    """

    def __init__(
        self,
        writer: Writer,
        names: Names | Spots,
        source_digest: str,
        panel: str | None = None,
        named: str | None = None,
        taken_before: Set[str] = frozenset(),
    ) -> None:
        self.store: Store = writer.store
        self.spots = names if isinstance(names, Spots) else Spots(writer.store)
        self.panel = panel
        self.named = named
        self._copy = self.store.copy_id
        self._origin: dict[str, Any] = {"at": now_text(writer.clock()), "by": writer.by, "tool": tool_name()}
        if writer.shop:
            self._origin["shop"] = writer.shop
        if source_digest:
            self._origin["source"] = "sha256:" + source_digest.removeprefix("sha256:")
        self._counts: dict[str, int] = {}
        self._patterns = Patterns()
        self._listed: set[str] | None = None
        self._pending = taken_before

    def take(self, rows: Iterable[TableReading | RowLeftOut]) -> TakenIn:
        """Return what came of these rows; a row whose panel is not known stands among the unplaced."""
        taken = TakenIn()
        readings: list[ReadyReading] = []
        for row in rows:
            if isinstance(row, RowLeftOut):
                taken.left_out.append((row.line, row.reason))
                continue
            try:
                reading = self.ready(row, self.spot(row.label))
            except SpotNotFound as error:
                taken.unplaced.append(Unplaced(row, str(error.fault)))
            except SprayoutError as error:
                taken.broken += [_told(row, fault) for fault in error.faults]
            else:
                readings.append(reading)
                taken.placed.append((row, reading.id))
        known = self.known(reading.id for reading in readings)
        taken.known = [reading.id for reading in readings if reading.id in known]
        taken.fresh = [reading for reading in readings if reading.id not in known]
        return taken

    def spot(self, label: str) -> SpotFound:
        """Return where a row's name says it was measured. Raises SpotNotFound."""
        if self.panel is None:
            return self.spots.agreed(label, self.named)
        return self.spots.certain(self.spots.on(self.panel, spot_of(label)[1]))

    def reading(
        self,
        rows: Sequence[TableReading],
        spot: SpotFound,
        number: int | None = None,
        more: Mapping[str, Any] | None = None,
    ) -> Reading:
        """Return the reading that these rows of one spot are; the second of identical ones says it is the second.

        number  which of identical ones it is; counted where it is not given
        more    further facts: measured_at, instrument
        """
        facts = reading_facts_of(rows, spot) | dict(more or {})
        place = _place(rows[0])
        reading = self._made(facts, place)
        if len(rows) == 1 and not more:
            self._patterns.keep(rows[0], reading)
        count = number or self._counts.get(reading.id, 0) + 1
        self._counts[reading.id] = count
        return reading if count == 1 else self._made({**facts, "repeat": count}, place)

    def ready(self, row: TableReading, spot: SpotFound, number: int | None = None) -> ReadyReading:
        """Return the reading that a row is in its stored form; see `reading`."""
        if quick := self._patterns.like(row, spot, _place(row)):
            count = number or self._counts.get(quick.id, 0) + 1
            if count == 1:
                self._counts[quick.id] = 1
                return quick
        return ready(self.reading((row,), spot, number))

    def _made(self, facts: dict[str, Any], place: str) -> Reading:
        origin = {**self._origin, "source_place": place} if place else self._origin
        reading = made("reading", facts, copy=self._copy, provenance=origin)
        assert isinstance(reading, Reading)
        return reading

    def known(self, identities: Iterable[str]) -> set[str]:
        """Return which of these readings the library has, or is about to have."""
        asked = list(identities)
        known = {identity for identity in asked if identity in self._pending}
        if self._listed is None and len(asked) > _MANY:
            self._listed = {identity for identity, _ in self.store.blobs("reading")}
        if self._listed is not None:
            known |= self._listed.intersection(asked)
            self._listed.update(asked)
        elif self.store.head is not None and asked:
            paths = [f"{self.store.head}:{path_of('reading', identity)}" for identity in asked]
            found = self.store.reader.infos(paths)
            known |= {identity for identity, one in zip(asked, found, strict=True) if one is not None}
        return known
