"""The plan of one table: where its readings stand, and under which conditions they were made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sprayout_core.tables import Conditions
from sprayout_plugins.instrument_csv.stated import Stated

__all__ = ["Down", "Long", "Plan", "Slot"]


@dataclass(frozen=True, slots=True)
class Slot:
    """One reading in every row: its cells, in ascending wavelength or as L*, a*, b*.

    columns      cell of each value, counted from 0 (n,)
    wavelengths  nm, ascending (n,); empty for coordinates
    names        names of the coordinates (n,); empty for a spectrum
    divisor      what a value is divided by to be a reflectance factor
    label        cell of the sample's name; -1 where the line number names it
    stated       columns that state conditions of the row's own reading
    place        cell of the step or zone, -1 where the name says it or there is none
    span         the cells as one slice where they stand side by side in ascending order
    """

    columns: tuple[int, ...]
    wavelengths: tuple[float, ...]
    names: tuple[str, ...]
    conditions: Conditions
    divisor: float
    label: int
    stated: tuple[Stated, ...] = ()
    place: int = -1

    span: slice | None = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        first, last = self.columns[0], self.columns[-1]
        whole = self.columns == tuple(range(first, last + 1))
        object.__setattr__(self, "span", slice(first, last + 1) if whole else None)


@dataclass(frozen=True, slots=True)
class Plan:
    """How one table is read, row by row.

    header       line of the headings
    headings     as many as there are cells in a row; an unnamed one is empty
    angles       cell of the measuring geometry, -1 where there is none
    illumination  angle of illumination for bare aspecular angles in that cell, empty where not told
    extras       cells kept as text beside the reading, by the name of their column
    places       how to tell a column that may name steps or zones, empty where there is none or it was told
    """

    encoding: str
    separator: str
    decimal: str
    header: int
    headings: tuple[str, ...]
    slots: tuple[Slot, ...]
    extras: Mapping[str, int]
    angles: int = -1
    illumination: str = ""
    keys: Mapping[str, str] = field(default_factory=dict)
    places: str = ""

    @property
    def scale(self) -> str:
        """The scale of the values, empty for coordinates or where it is still to be told."""
        return self.slots[0].conditions.scale


@dataclass(frozen=True, slots=True)
class Down:
    """A table with wavelengths down and one sample in each column.

    header      line of the samples' names, 0 where there is none
    first       line of the first wavelength
    column      cell of the wavelength, counted from 0
    factor      nm per unit of the wavelengths written there
    samples     cell of each sample (n,)
    labels      name of each sample (n,)
    conditions  conditions of each sample (n,)
    headings    as many as there are cells in a row
    """

    encoding: str
    separator: str
    decimal: str
    header: int
    first: int
    column: int
    factor: float
    samples: tuple[int, ...]
    labels: tuple[str, ...]
    conditions: tuple[Conditions, ...]
    headings: tuple[str, ...]
    keys: Mapping[str, str] = field(default_factory=dict)

    @property
    def scale(self) -> str:
        """The scale of the values, empty where it is still to be told."""
        return self.conditions[0].scale


@dataclass(frozen=True, slots=True)
class Long:
    """A table with one value in each row.

    header      line of the headings
    label, column, value, angles  cells of sample, wavelength, value and geometry (-1: none), counted from 0
    factor      nm per unit of the wavelengths written there
    stated      columns that state conditions of the row's own reading
    """

    encoding: str
    separator: str
    decimal: str
    header: int
    label: int
    column: int
    value: int
    angles: int
    illumination: str
    factor: float
    conditions: Conditions
    headings: tuple[str, ...]
    extras: Mapping[str, int]
    keys: Mapping[str, str] = field(default_factory=dict)
    stated: tuple[Stated, ...] = ()

    @property
    def scale(self) -> str:
        """The scale of the values, empty where it is still to be told."""
        return self.conditions.scale
