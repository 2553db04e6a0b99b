"""Settling the decimal mark from the number cells of the readings, never from anywhere else in the file."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_plugins.instrument_csv import cells
from sprayout_plugins.instrument_csv.options import Findings

__all__ = ["Standing", "decimal"]

Standing = tuple[int, int, str]
"""A cell with its line and its column (both from 1)."""


def decimal(values: Sequence[Standing], findings: Findings) -> str:
    """Return the decimal mark (`point`, `comma`), or nothing after noting what stands in the way."""
    if told := findings.told("decimal"):
        findings.saw("decimal mark", told, how="told")
        return told
    numbers = [standing for standing in values if cells.numberish(standing[2])]
    commas = [standing for standing in numbers if "," in standing[2]]
    points = [standing for standing in numbers if "." in standing[2]]
    if commas and points:
        odd, mark, usual = (commas, "comma", "point") if len(commas) <= len(points) else (points, "point", "comma")
        line, column, cell = odd[0]
        findings.fault(
            f"line {line}, column {column}",
            f"{cell.strip()!r} has a decimal {mark} where other numbers have a decimal {usual}",
            "Export the table with one decimal mark, or tell the option decimal.",
        )
        return ""
    if commas and _thousands(commas, numbers):
        findings.ask(
            "decimal",
            "Is the comma in these numbers a decimal mark?",
            "every comma stands before three digits",
        )
        return ""
    if not commas and not points:
        findings.saw("decimal mark", "point", "no number has one", how="assumed")
        return "point"
    mark = "comma" if commas else "point"
    findings.saw("decimal mark", mark, f"for instance {(commas or points)[0][2].strip()!r}")
    return mark


def _thousands(commas: Sequence[Standing], numbers: Sequence[Standing]) -> bool:
    """Say whether commas may part thousands: always before three digits, beside whole numbers of three
    digits.
    """
    marked = [cell.strip() for _, _, cell in commas]
    whole = [cell.strip() for _, _, cell in numbers if "," not in cell]
    grouped = all(len(cell.rpartition(",")[2]) == 3 and not cell.lstrip("+-").startswith("0") for cell in marked)
    return grouped and any(len(cell.lstrip("+-")) == 3 for cell in whole)
