"""Planning a table with one sample per row: which columns are readings, which one names the sample."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from sprayout_core.tables import SCALES, Conditions
from sprayout_plugins.instrument_csv import cells, conditions, headings, marks, words
from sprayout_plugins.instrument_csv.columns import aligned, label_column
from sprayout_plugins.instrument_csv.head import Head
from sprayout_plugins.instrument_csv.headings import Spectral
from sprayout_plugins.instrument_csv.marks import Standing
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Plan, Slot
from sprayout_plugins.instrument_csv.spectral import wavelength_sets

__all__ = ["plan"]


def plan(head: Head, findings: Findings) -> Plan | None:
    """Return the plan of a table with one sample per row, or None after noting what stands in the way."""
    line, names = head.rows[head.header]
    data = _data(head)
    if not data:
        findings.fault(f"line {line}", "no row of numbers follows the headings", "Export the readings again.")
        return None
    width = Counter(len(row) for row in data).most_common(1)[0][0]
    usual = [row for row in data if len(row) == width]
    named = aligned(names, usual, findings, line)
    if named is None:
        return None
    findings.saw("headings", f"line {line}", "the first line with wavelengths or L*, a*, b* across")
    sets = wavelength_sets(named, findings)
    if sets is None:
        return None
    decimal = marks.decimal(_values(head, named, sets), findings)
    if not decimal:
        return None
    angles = next((at for at, name in enumerate(named) if words.ANGLE.match(name)), -1)
    slots = (
        _spectra(sets, usual, decimal, head, findings, angles)
        if sets
        else _coordinates(named, head, findings, angles)
    )
    used = {at for slot in slots for at in slot.columns} | {angles}
    label = label_column(named, used, usual, findings)
    if label is None or not slots:
        return None
    extras = tuple(
        at for at, name in enumerate(named) if at not in used and at != label and (name or _filled(usual, at))
    )
    illumination = _illumination(usual, angles, findings)
    return Plan(
        encoding=head.encoding,
        separator=head.separator,
        decimal=decimal,
        header=line,
        headings=tuple(named),
        slots=tuple(replace(slot, label=label) for slot in slots),
        extras=extras,
        angles=angles,
        illumination=illumination,
        keys=head.keys,
    )


def _data(head: Head) -> list[list[str]]:
    """Return the rows below the headings that have several numbers."""
    return [row for _, row in head.rows[head.header + 1 :] if sum(map(cells.numberish, row)) >= 3]


def _filled(rows: Sequence[Sequence[str]], column: int) -> bool:
    return any(row[column].strip() for row in rows)


def _values(head: Head, named: Sequence[str], sets: list[Spectral]) -> list[Standing]:
    columns = [at for one in sets for at in one.columns]
    if not columns:
        columns = [at for at, name in enumerate(named) if headings.coordinate(name)]
    return [
        (line, at + 1, row[at])
        for line, row in head.rows[head.header + 1 :]
        if len(row) >= len(named)
        for at in columns
    ]


def _spectra(
    sets: list[Spectral],
    rows: Sequence[Sequence[str]],
    decimal: str,
    head: Head,
    findings: Findings,
    angles: int,
) -> list[Slot]:
    slots = []
    for one in sets:
        lit, angle = headings.angle_in(one.frame)
        seen = (
            "-" if angles >= 0 else f"{lit or findings.told('illumination') or ''}as{angle}" if angle else lit
        )
        if seen.startswith("as"):
            _ask_illumination(findings, one.frame)
            seen = "-"
        shown = [
            value
            for row in rows
            for at in one.columns
            if (value := cells.number(row[at], decimal)) is not None
        ]
        span = (min(shown), max(shown)) if shown else (0.0, 0.0)
        scale = conditions.settle_scale(findings, head.keys, one.frame, span)
        about = conditions.for_spectrum(findings, head.keys, one.frame, seen, scale)
        order = sorted(range(len(one.columns)), key=one.numbers.__getitem__)
        slots.append(
            Slot(
                columns=tuple(one.columns[place] for place in order),
                wavelengths=tuple(one.numbers[place] for place in order),
                names=(),
                conditions=about,
                divisor=SCALES.get(scale, 1.0),
                label=-1,
            )
        )
    return slots


def _coordinates(named: Sequence[str], head: Head, findings: Findings, angles: int) -> list[Slot]:
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
        findings.fault(
            "", "the columns of L*, a*, b* differ in light or angle", "Export the three under one light."
        )
        return []
    if not certain and findings.told("space") is None:
        findings.ask(
            "space",
            "Which space are L, a, b?",
            "the headings have no star, and other spaces use these letters",
        )
    if findings.told("space") == "other":
        findings.fault("", "L, a, b are told to be of another space than CIELAB", "Export CIELAB or spectra.")
    if len(whole) > 1 and not all(any(headings.angle_in(rest)) for rest in whole):
        return _chosen_view(whole, head, findings, angles)
    return [_coordinate_slot(rest, found, head, findings, angles) for rest, found in whole.items()]


def _chosen_view(whole: dict[str, dict[str, int]], head: Head, findings: Findings, angles: int) -> list[Slot]:
    told = findings.told("columns")
    if told in whole:
        return [_coordinate_slot(told, whole[told], head, findings, angles)]
    offered = {rest: f"the columns L*, a*, b* {rest}" for rest in whole}
    findings.ask(
        "columns", "Which of these columns are the reading?", "L*, a*, b* stand there several times", offered
    )
    return []


def _coordinate_slot(rest: str, found: dict[str, int], head: Head, findings: Findings, angles: int) -> Slot:
    lit, angle = headings.angle_in(rest)
    seen = "-" if angles >= 0 else f"{lit or findings.told('illumination') or ''}as{angle}" if angle else lit
    if seen.startswith("as"):
        _ask_illumination(findings, rest)
        seen = "-"
    about: Conditions = conditions.for_coordinates(findings, head.keys, rest, seen)
    return Slot(tuple(found[name] for name in ("L*", "a*", "b*")), (), ("L*", "a*", "b*"), about, 1.0, -1)


def _illumination(rows: Sequence[Sequence[str]], angles: int, findings: Findings) -> str:
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
