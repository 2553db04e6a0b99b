"""Which sets of headings are the wavelengths of a reading, in which unit, and of which quantity."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from sprayout_plugins.instrument_csv import headings, words
from sprayout_plugins.instrument_csv.head import candidates
from sprayout_plugins.instrument_csv.headings import Spectral
from sprayout_plugins.instrument_csv.options import Findings

__all__ = ["in_nanometres", "known_reflectance", "titled_otherwise", "wavelength_sets"]

_FEW = 5
"""With fewer bands than this, columns of numbered things look like wavelengths: ask."""


def wavelength_sets(named: Sequence[str], titles: Sequence[str], findings: Findings) -> list[Spectral] | None:
    """Return the sets of columns that hold readings, in nm; empty where there are none; None after asking.

    titles  lines above the table, which may say another quantity
    """
    every = candidates(list(named))
    sets = [one for one in every if not words.statistic(one.frame)]
    told = findings.told("columns")
    if told and any(one.frame == told for one in every):
        sets = [one for one in every if one.frame == told]
        findings.saw("columns", told, how="told")
    elif told and every:
        known = ", ".join(one.frame for one in every)
        findings.fault("option columns", f"no set of columns is {told!r}", f"These are: {known}.")
        return None
    if not every:
        return []
    if (len(sets) > 1 and not _one_per_geometry(sets)) or not sets:
        offered = {one.frame: f"{len(one.columns)} columns such as {named[one.columns[0]]!r}" for one in sets or every}
        why = "several sets look like wavelengths" if sets else "all of them sum up several readings, or limit them"
        findings.ask("columns", "Which of these columns are the reading?", why, offered)
        return None
    for one in every:
        if one not in sets:
            findings.saw("not taken", one.frame, f"{words.statistic(one.frame) or 'other columns'!r}")
    if titled_otherwise(titles, findings) or _strays(named, sets, findings):
        return None
    settled = [_settled(one, named, findings) for one in sets]
    return None if findings.stuck else [one for one in settled if one is not None]


def _strays(named: Sequence[str], sets: Sequence[Spectral], findings: Findings) -> bool:
    """Refuse a heading that looks like a wavelength of a set but is written otherwise: its band would
    be lost.
    """
    if findings.told("columns"):
        return False
    taken = {at for one in candidates(list(named)) for at in one.columns}
    for one in sets:
        for at in range(min(one.columns), max(one.columns)):
            if not named[at]:
                problem = "a column without a heading stands among the wavelengths"
                findings.fault(f"column {at + 1}", problem, "Give it its heading, or take the column out.")
                return True
    for at, name in enumerate(named):
        found = re.findall(r"\d+(?:[.,]\d+)?", name, re.ASCII)
        if at in taken or len(found) != 1 or words.statistic(name) or words.NO_WAVELENGTH.search(name):
            continue
        number = float(found[0].replace(",", "."))
        for one in sets:
            step = abs(one.numbers[1] - one.numbers[0])
            near = min(one.numbers) - step <= number <= max(one.numbers) + step
            if near and (headings.unit_in(name) or words.says_reflectance(name) or one.frame == "#"):
                findings.fault(
                    f"column {at + 1}",
                    f"the heading {name!r} looks like a wavelength, but is not written like the others ({one.frame!r})",
                    "Write all of them alike, or tell the option columns.",
                )
                return True
    return False


def known_reflectance(texts: Sequence[str], names: Sequence[str], findings: Findings) -> bool:
    """Say whether a table with wavelengths down is of reflectance; where nothing says so it is asked.

    Such tables are published of lamps, filters, observers and sensors too, under the same kind of headings.

    texts  headings and lines above that may say the quantity
    names  names of the columns
    """
    told = findings.told("quantity")
    if told == "other":
        findings.fault("", "the values are told to be no reflectance", "Export reflectance factors.")
        return False
    if told == "reflectance":
        findings.saw("quantity", told, how="told")
        return True
    if said := next((text for text in texts if words.says_reflectance(text)), ""):
        findings.saw("quantity", "reflectance", f"{said.strip()[:60]!r} says so")
        return True
    shown = ", ".join(name for name in names if name)[:60]
    findings.ask(
        "quantity",
        "Are these reflectance factors?",
        f"nothing in the file says so; columns: {shown or 'no names'}",
    )
    return True


def titled_otherwise(titles: Sequence[str], findings: Findings) -> bool:
    """Ask where a line above the table names another quantity than reflectance."""
    for title in titles:
        quantity = words.other_quantity(title) or words.short_other(title)
        if quantity and findings.told("quantity") != "reflectance":
            findings.ask("quantity", "Are these reflectance factors?", f"a line above says {title[:60]!r}: {quantity}")
            return True
    return False


def _one_per_geometry(sets: list[Spectral]) -> bool:
    angles = [headings.angle_in(one.frame) for one in sets]
    return all(any(angle) for angle in angles) and len(set(angles)) == len(angles)


def _settled(one: Spectral, named: Sequence[str], findings: Findings) -> Spectral | None:
    if not _is_reflectance(one, findings):
        return None
    chosen = _within_told(one, findings)
    if chosen is None:
        return None
    scaled = in_nanometres(chosen, findings)
    if scaled is None:
        return None
    if not scaled.monotonic:
        stray = scaled.columns[scaled.stray]
        findings.fault(
            f"column {stray + 1}",
            f"the heading {named[stray]!r} is out of order among the wavelengths, or there twice",
            "Export one set of wavelengths, or tell the option wavelengths.",
        )
        return None
    _grid(scaled, findings)
    return scaled


def _is_reflectance(one: Spectral, findings: Findings) -> bool:
    quantity = words.other_quantity(one.frame)
    told = findings.told("quantity")
    if quantity:
        findings.fault("", f"the columns {one.frame!r} are {quantity}, no reflectance", "Export reflectance factors.")
        return False
    if told == "other":
        findings.fault("", "the values are told to be no reflectance", "Export reflectance factors.")
        return False
    bare = re.sub(r"[\s\[\]().:_-]|nm|#|wave|length|lambda|λ|nanometers?|nanometres?|[µμu]m|\bX|w", "", one.frame)
    if bare and not words.says_reflectance(one.frame) and not any(headings.angle_in(one.frame)) and told is None:
        findings.ask("quantity", "Are these reflectance factors?", f"the headings say {one.frame!r}")
        return False
    if len(one.columns) < _FEW and findings.told("columns") != one.frame:
        offered = {one.frame: f"yes, {len(one.columns)} bands"}
        findings.ask("columns", "Are these columns a spectrum?", f"only {len(one.columns)} are alike", offered)
        return False
    return True


def _within_told(one: Spectral, findings: Findings) -> Spectral | None:
    """Keep the columns inside the told range of wavelengths; without one, ask where other numbers
    stand among them.
    """
    if told := findings.told("wavelengths"):
        found = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(?:-|–|to)\s*(\d+(?:\.\d+)?)\s*", told)
        if not found:
            findings.fault("option wavelengths", f"{told!r} is no range", "Write the first and last heading: 400-700.")
            return None
        low, high = float(found[1]), float(found[2])
        kept = [(at, number) for at, number in zip(one.columns, one.numbers, strict=True) if low <= number <= high]
        if len(kept) < 3:
            findings.fault("option wavelengths", f"fewer than 3 columns lie in {told!r}", "Look at the headings again.")
            return None
        findings.saw("wavelengths", told, how="told")
        return replace(one, columns=tuple(at for at, _ in kept), numbers=tuple(number for _, number in kept))
    if not one.unit and _mixed(one):
        shown = ", ".join(f"{number:g}" for number in one.numbers[:6])
        findings.ask(
            "wavelengths",
            "Which of these headings are wavelengths, from which to which?",
            f"the headings {shown}, ... do not follow one step side by side; some may be positions, depths or ids",
            {},
        )
        return None
    return one


def _mixed(one: Spectral) -> bool:
    """Say whether numbers without a unit may be more than one thing: out of range, or far from the
    usual step at an end.
    """
    if max(one.numbers) < 200:
        return False
    if min(one.numbers) < 200 or (one.within(1900, 2100) and one.frame == "#"):
        return True  # positions and the like; years
    steps = [abs(b - a) for a, b in pairwise(one.numbers)]
    usual = sorted(steps)[len(steps) // 2]
    apart = any(b - a != 1 for a, b in pairwise(one.columns))
    return apart or not one.monotonic or steps[0] > 2 * usual or steps[-1] > 2 * usual


def in_nanometres(one: Spectral, findings: Findings) -> Spectral | None:
    """Return a set with its numbers in nm; a unit that nobody says is understood only where the other
    is impossible.
    """
    told = findings.told("wavelength_unit")
    unit = one.unit or told
    if one.unit and told and one.unit != told:
        findings.fault("", f"the option says {told}, the headings say {one.unit}", "Drop the option wavelength_unit.")
        return None
    if not unit and one.within(200, 2600):
        unit = "nm"
        findings.saw("wavelength unit", "nm", "numbers from 200 to 2600 can be no micrometres of light")
    elif not unit:
        low, high = min(one.numbers), max(one.numbers)
        findings.ask(
            "wavelength_unit",
            "In which unit are the wavelengths?",
            f"they run from {low:g} to {high:g} without a unit",
        )
        return None
    else:
        findings.saw(
            "wavelength unit",
            unit,
            "the headings say so" if one.unit else "",
            how="seen" if one.unit else "told",
        )
    factor = 1000.0 if unit == "um" else 1.0
    scaled = replace(one, numbers=tuple(round(number * factor, 6) for number in one.numbers))
    if not scaled.within(100, 60000):
        findings.fault("", f"wavelengths of {scaled.numbers[0]:g} nm are no light that is measured", "Check the unit.")
        return None
    return scaled


def _grid(one: Spectral, findings: Findings) -> None:
    ordered = sorted(one.numbers)
    steps = sorted({round(b - a, 6) for a, b in pairwise(ordered)})
    span = f"{ordered[0]:g} to {ordered[-1]:g} nm"
    if len(steps) == 1:
        findings.saw("wavelengths", f"{span} by {steps[0]:g}", f"headings {one.frame!r}")
    else:
        findings.saw(
            "wavelengths",
            f"{span}, irregular",
            f"headings {one.frame!r}, steps {steps[0]:g} to {steps[-1]:g} nm",
        )
