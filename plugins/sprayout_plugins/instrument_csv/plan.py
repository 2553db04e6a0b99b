"""The plan of one table: where its readings stand, and under which conditions they were made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sprayout_core.tables import Conditions

__all__ = ["Plan", "Slot"]


@dataclass(frozen=True, slots=True)
class Slot:
    """One reading in every row: its cells, in ascending wavelength or as L*, a*, b*.

    columns      cell of each value, counted from 0 (n,)
    wavelengths  nm, ascending (n,); empty for coordinates
    names        names of the coordinates (n,); empty for a spectrum
    divisor      what a value is divided by to be a reflectance factor
    label        cell of the sample's name; -1 where the line number names it
    """

    columns: tuple[int, ...]
    wavelengths: tuple[float, ...]
    names: tuple[str, ...]
    conditions: Conditions
    divisor: float
    label: int


@dataclass(frozen=True, slots=True)
class Plan:
    """How one table is read, row by row.

    header       line of the headings
    last         line before which the table ends, 0 where it goes on to the end of the file
    headings     as many as there are cells in a row; an unnamed one is empty
    angles       cell of the measuring geometry, -1 where there is none
    illumination  angle of illumination for bare aspecular angles in that cell, empty where not told
    extras       cells kept as text beside the reading
    keys         key lines above the table, key to value
    """

    encoding: str
    separator: str
    decimal: str
    header: int
    headings: tuple[str, ...]
    slots: tuple[Slot, ...]
    extras: tuple[int, ...]
    last: int = 0
    angles: int = -1
    illumination: str = ""
    keys: Mapping[str, str] = field(default_factory=dict)
