"""Patterns: readings of one table that differ in their values only are made from the first, which was checked whole."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from sprayout_core.documents import Reading, tree, write
from sprayout_core.documents.identity import READING_IDENTITY, READING_MARK, uuid8
from sprayout_core.documents.text import compact
from sprayout_core.tables import Conditions, TableReading
from sprayout_library.record.placing import SpotFound
from sprayout_library.store import path_of

__all__ = ["Patterns", "ReadyReading", "quantised", "ready", "reflectances"]

_REFLECTANCE_DIGITS = 5
#: Within these, a reflectance factor is one under every geometry; others are checked as a whole document is.
_LOWEST, _HIGHEST = -1.0, 2.0
_MINUS_NOTHING = re.compile(r",-0(?=,)")
_WHOLE = frozenset((0.0, 1.0, 2.0))
_LONGEST_PLACE = 100


def quantised(value: float, digits: int) -> int | float:
    """Return a measured number on its quantum; whole ones as whole numbers, never a negative zero."""
    rounded = round(value, digits)
    return int(rounded) if rounded.is_integer() else rounded


def reflectances(values: Sequence[float]) -> list[int | float]:
    """Return reflectance factors on their quantum."""
    rounded: list[int | float] = [round(value, _REFLECTANCE_DIGITS) for value in values]
    if _WHOLE.isdisjoint(rounded) and min(rounded, default=0.5) > -1.0 and max(rounded, default=0.5) < 3.0:
        return rounded
    return [quantised(value, _REFLECTANCE_DIGITS) for value in values]


class ReadyReading(NamedTuple):
    """A reading in its stored form, ready to be saved: its id, its panel's id, and the text."""

    id: str
    panel: str
    content: bytes

    @property
    def path(self) -> str:
        """Where it lies in a library."""
        return path_of("reading", self.id)


def ready(reading: Reading) -> ReadyReading:
    """Return a reading in its stored form."""
    return ReadyReading(reading.id, reading.panel, write(reading))


class _Cut(NamedTuple):
    """A text cut where readings of one table differ: (id, values, panel, place) stored; (values, panel) hashed."""

    stored: tuple[bytes, ...]
    said: tuple[bytes, ...]


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A reading made and checked whole, with what of its row must be the same again, and its text by step and zone."""

    conditions: Conditions
    wavelengths: tuple[float, ...]
    reading: Reading
    form: str
    cuts: dict[tuple[str | None, str | None], _Cut | None]

    def fits(self, row: TableReading) -> bool:
        same = row.wavelengths is self.wavelengths or row.wavelengths == self.wavelengths
        alike = row.conditions is self.conditions or row.conditions == self.conditions
        return same and alike and not row.coordinates and len(row.values) == len(self.wavelengths)

    def cut(self, spot: SpotFound) -> _Cut | None:
        """Return the text for a step or zone, cut; None where it cannot be cut with certainty."""
        key = (spot.step, spot.zone)
        if key not in self.cuts:
            self.cuts[key] = _cut(self.reading, spot)
        return self.cuts[key]


_ID, _PANEL = "5a5a5a5a-5a5a-8a5a-9a5a-5a5a5a5a5a5a", "6b6b6b6b-6b6b-8b6b-9b6b-6b6b6b6b6b6b"
_PLACE = "a place that no table has, 7c7c7c7c"
_VALUES: list[int | float] = [0.12345, 0.54321, 0.13579]
"""What stands in a pattern where readings differ; a text in which one of them stands twice is not used."""


def _cut(reading: Reading, spot: SpotFound) -> _Cut | None:
    measured = reading.measured[0]
    assert measured.spectrum is not None
    spectrum = measured.spectrum.model_copy(update={"values": _VALUES})
    changes = {
        "id": _ID, "panel": _PANEL, "step": spot.step, "zone": spot.zone,
        "measured": [measured.model_copy(update={"spectrum": spectrum})],
        "provenance": reading.provenance.model_copy(update={"source_place": _PLACE}),
    }  # fmt: skip
    pattern = reading.model_copy(update=changes)
    facts = tree(pattern)
    said = compact({name: facts[name] for name in READING_IDENTITY if name in facts})
    values = compact(_VALUES)
    stored = _parted(write(pattern), _quoted(_ID), values.replace(b",", b", "), _quoted(_PANEL), _quoted(_PLACE))
    hashed = _parted(said, values, _quoted(_PANEL))
    return _Cut(stored, hashed) if stored and hashed else None


def _quoted(text: str) -> bytes:
    return b'"%s"' % text.encode("ascii")


def _parted(text: bytes, *marks: bytes) -> tuple[bytes, ...]:
    """Return what stands between marks that each stand once, in this order; nothing where they do not."""
    parts = []
    for mark in marks:
        before, found, text = text.partition(mark)
        if not found or mark in text:
            return ()
        parts.append(before)
    return (*parts, text)


class Patterns:
    """Makes readings like one made before; where anything but label, place and values differs it makes none.

    What is made so equals, byte for byte, what the whole way makes, which checks every member twice and spells the
    document out (a test holds it to that); it takes a small fraction of the time.
    """

    def __init__(self) -> None:
        self._last: _Pattern | None = None

    def keep(self, row: TableReading, reading: Reading) -> None:
        """Remember a reading that was made whole from one row, if it is a spectrum and nothing else."""
        if row.values and not row.coordinates and reading.repeat is None and reading.grade == "spectrum":
            form = f"%.{_REFLECTANCE_DIGITS}f," * len(row.values)
            self._last = _Pattern(row.conditions, row.wavelengths, reading, form, {})

    def like(self, row: TableReading, spot: SpotFound, place: str) -> ReadyReading | None:
        """Return the reading of a row at a spot, or None where it must be made whole."""
        last = self._last
        if last is None or not last.fits(row) or not _plain(place):
            return None
        if not (min(row.values) >= _LOWEST and max(row.values) <= _HIGHEST):
            return None
        cut = last.cut(spot)
        if cut is None or (numbers := _spelled(row.values, last.form)) is None:
            return None
        panel = _quoted(spot.panel)
        before, between, after = cut.said
        identity = uuid8(hashlib.sha256(READING_MARK + before + numbers + between + panel + after).digest())
        one, two, three, four, five = cut.stored
        content = b"".join(
            (one, _quoted(identity), two, numbers.replace(b",", b", "), three, panel, four, _quoted(place), five)
        )
        return ReadyReading(identity, spot.panel, content)


def _spelled(values: tuple[float, ...], form: str) -> bytes | None:
    """Return numbers between -1 and 2 on their quantum as a document spells them, or None for what is no number.

    Five decimals without the zeros at their end are what RFC 8785 writes of such a number, and `%` rounds as
    `round` does.
    """
    text = form % values
    if "n" in text:
        return None
    for _ in range(_REFLECTANCE_DIGITS):
        if "0," not in text:
            break
        text = text.replace("0,", ",")
    text = text.replace(".,", ",")
    if "-0," in text:
        text = _MINUS_NOTHING.sub(",0", f",{text}")[1:]
    return f"[{text[:-1]}]".encode("ascii")


def _plain(place: str) -> bool:
    """Say whether a place is spelled in a document as it stands here."""
    plain = '"' not in place and "\\" not in place
    return plain and 0 < len(place) <= _LONGEST_PLACE and place.isascii() and place.isprintable()
