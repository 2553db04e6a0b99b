"""Aspecular angles in headings and cells, and the illumination that a bare angle leaves open."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_plugins.instrument_csv import cells, headings
from sprayout_plugins.instrument_csv.options import Findings

__all__ = ["illumination_of", "names_angle", "seen_in"]


_AROUND = " ()[]°_"
_USUAL = {"-15", "15", "20", "25", "45", "70", "75", "110"}  # aspecular angles of ASTM E2194 and E2539


def names_angle(text: str) -> bool:
    """Say whether a heading's text names a geometry, or is nothing but a usual aspecular angle."""
    return any(headings.angle_in(text)) or text.strip(_AROUND) in _USUAL


def seen_in(text: str, angles: int, findings: Findings) -> str:
    """Return the geometry a heading's text names, `-` where each row or an open question gives it, or
    nothing.
    """
    if angles >= 0:
        return "-"
    lit, angle = headings.angle_in(text)
    if not any((lit, angle)) and names_angle(text):
        angle = text.strip(_AROUND)
    if not angle:
        return lit
    if lit := lit or findings.told("illumination") or "":
        return f"{lit}as{angle}"
    _ask_illumination(findings, text)
    return "-"


def illumination_of(rows: Sequence[Sequence[str]], angles: int, findings: Findings) -> str:
    """Return the illumination told; where a column of angles has bare ones and none is told, ask."""
    told = findings.told("illumination") or ""
    if angles >= 0 and not told:
        bare = [
            row[angles]
            for row in rows
            if not any(headings.angle_in(row[angles])) and cells.numberish(row[angles].strip("° "))
        ]
        if bare:
            _ask_illumination(findings, f"{bare[0].strip()!r} in its column")
    return told


def _ask_illumination(findings: Findings, seen: str) -> None:
    choices = {"45": "45 degrees from straight above (ASTM E2194)", "15": "15 degrees (ASTM E2539)"}
    findings.ask(
        "illumination",
        "At which angle does the light fall in?",
        f"{seen} gives an aspecular angle only",
        choices,
    )
