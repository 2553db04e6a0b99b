"""One reading as a table holds it, and a table written out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sprayout_core.tables.conditions import Conditions

__all__ = ["TableReading", "WrittenTable"]


@dataclass(frozen=True, slots=True)
class TableReading:
    """One reading found in a table.

    label        the sample's name as the table gives it
    line         line of the source where it stands, 1 is the first
    column       heading of the column where it stands, for tables that keep one reading per column
    conditions   what is known of how it was made
    wavelengths  nm, ascending (n,); empty for coordinates without a spectrum
    values       reflectance factor, 1 is the perfect diffuser (n,); over 1 and slightly below 0 are kept
    coordinates  `L*`, `a*`, `b*` or `X`, `Y`, `Z` as given, under the conditions' illuminant and observer
    extra        every other column of its row, heading to text, untouched
    keys         what the table says about all of its readings, key to text, untouched
    """

    label: str
    line: int
    conditions: Conditions
    wavelengths: tuple[float, ...] = ()
    values: tuple[float, ...] = ()
    coordinates: Mapping[str, float] = field(default_factory=dict)
    extra: Mapping[str, str] = field(default_factory=dict)
    column: str = ""
    keys: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WrittenTable:
    """A table ready to be saved: a file name's ending (no dot) and the bytes."""

    ending: str
    content: bytes
