"""Planning L*, a*, b* columns: which belong together, under which light, and in which space."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_core.tables import Conditions
from sprayout_plugins.instrument_csv import conditions, headings
from sprayout_plugins.instrument_csv.angles import names_angle, seen_in
from sprayout_plugins.instrument_csv.head import Head
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Slot

__all__ = ["coordinates"]


def coordinates(named: Sequence[str], head: Head, findings: Findings, angles: int) -> list[Slot]:
    """Return the slots of L*, a*, b*; where they stand several times under several lights, ask which."""
    groups: dict[str, dict[str, int]] = {}
    certain = True
    for at, name in enumerate(named):
        if one := headings.coordinate(name):
            if one.name in groups.setdefault(one.rest, {}):
                findings.fault(
                    f"column {at + 1}", f"a second column is headed {name!r}", "Leave one out of the export."
                )
                return []
            groups[one.rest][one.name] = at
            certain = certain and one.certain
    whole = {rest: found for rest, found in groups.items() if len(found) == 3}
    if not whole:
        findings.fault("", "the columns of L*, a*, b* differ in light or angle", "Export the three under one light.")
        return []
    if not certain and findings.told("space") is None:
        findings.ask(
            "space",
            "Which space are L, a, b?",
            "the headings have no star, and other spaces use these letters",
        )
    if findings.told("space") == "other":
        findings.fault("", "L, a, b are told to be of another space than CIELAB", "Export CIELAB or spectra.")
    if len(whole) > 1 and not all(map(names_angle, whole)):
        return _chosen_view(whole, head, findings, angles)
    return [_coordinate_slot(rest, found, head, findings, angles) for rest, found in whole.items()]


def _chosen_view(whole: dict[str, dict[str, int]], head: Head, findings: Findings, angles: int) -> list[Slot]:
    told = findings.told("columns")
    if told in whole:
        return [_coordinate_slot(told, whole[told], head, findings, angles)]
    offered = {rest: f"the columns L*, a*, b* {rest}" for rest in whole}
    findings.ask("columns", "Which of these columns are the reading?", "L*, a*, b* stand there several times", offered)
    return []


def _coordinate_slot(rest: str, found: dict[str, int], head: Head, findings: Findings, angles: int) -> Slot:
    seen = seen_in(rest, angles, findings)
    about: Conditions = conditions.for_coordinates(findings, head.keys, rest, seen)
    return Slot(tuple(found[name] for name in ("L*", "a*", "b*")), (), ("L*", "a*", "b*"), about, 1.0, -1)
