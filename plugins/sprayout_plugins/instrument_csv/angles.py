"""Aspecular angles in headings and cells, and the illumination that a bare angle leaves open."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sprayout_plugins.instrument_csv import cells, headings
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.rows import geometry_of

__all__ = [
    "angle_apart",
    "angles_in_names",
    "bare_angles",
    "column_angles",
    "illumination_of",
    "names_angle",
    "seen_in",
]


_IN_NAME = re.compile(r"[-+]?\d{1,3}\s?(?:°|deg\b|degrees?\b)|\bas-?\d{1,3}\b|\d{1,2}as-?\d{1,3}\b", re.IGNORECASE)
_AROUND = " ()[]°_"
_BARE_ANGLE = re.compile(r"[-+]?\d{1,3}", re.ASCII)
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


def column_angles(named: Sequence[str], samples: Sequence[int], findings: Findings) -> list[str]:
    """Return the geometry of each column where all headings are geometries of one sample, else nothing."""
    lit = findings.told("illumination") or ""
    found = []
    for at in samples:
        heading = named[at].strip("° ")
        if any(headings.angle_in(heading)) or (lit and _BARE_ANGLE.fullmatch(heading)):
            found.append(geometry_of(heading, lit))
    return found if len(found) == len(samples) and all(found) and not any(one.startswith("as") for one in found) else []


def bare_angles(named: Sequence[str], samples: Sequence[int]) -> bool:
    """Say whether the headings of several columns are nothing but usual aspecular angles."""
    shown = {named[at].strip("° ") for at in samples}
    return len(shown) > 1 and all(_BARE_ANGLE.fullmatch(one) for one in shown) and shown <= _USUAL


def angles_in_names(named: Sequence[str], samples: Sequence[int], line: int, findings: Findings) -> bool:
    """Refuse names that hold an angle each: one geometry told for all columns would be wrong for most of them."""
    angled = {at: found[0] for at in samples if (found := _IN_NAME.search(named[at]))}
    if len(set(angled.values())) < 2 or column_angles(named, samples, findings):
        return False
    if findings.told("label") == "(headings)" or bare_angles(named, samples):
        return False
    findings.fault(
        f"line {line}",
        f"{named[next(iter(angled))]!r} and others name an angle each, and a sample beside it",
        "Head the columns of one sample with geometries alone (45as15), or tell label=(headings) if these are names.",
    )
    return True


def angle_apart(name: str) -> tuple[str, str, str]:
    """Return what stands before, as, and after an angle in a name; the angle is empty where there is none."""
    found = _IN_NAME.search(name)
    return (name[: found.start()], found[0], name[found.end() :]) if found else (name, "", "")
