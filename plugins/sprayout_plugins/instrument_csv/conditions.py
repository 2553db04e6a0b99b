"""Settling the conditions of a table's readings: seen in headings and key lines, told as options, else
asked for.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import STAGES, Conditions, geometry, illuminant, observer
from sprayout_plugins.instrument_csv import headings, words
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.stated import EACH_ROW, GLOSS_IN, gloss_of, scale_of

__all__ = ["for_coordinates", "for_spectrum", "settle_scale"]

_DEGREES = re.compile(r"\s*(?:as)?\s*([-+]?\d{1,3})\s*(?:°|deg\w*)?\s*\Z", re.ASCII | re.IGNORECASE)
_GEOMETRIES = {
    "45:0": "lit at 45 degrees, seen from straight above",
    "0:45": "lit from straight above, seen at 45 degrees",
    "di:8": "diffuse light, seen at 8 degrees, gloss included",
    "de:8": "diffuse light, seen at 8 degrees, gloss excluded",
    "45as15": "lit at 45 degrees, seen 15 degrees from the gloss (any two angles)",
}


def for_spectrum(findings: Findings, keys: Mapping[str, str], place: str, seen: str, scale: str) -> Conditions:
    """Return a spectrum's conditions; what nobody says is asked for.

    place  what is meant, for questions: a frame of headings, or nothing where there is one set only
    seen   the geometry that the headings or a column give; `-` where each row gives its own
    """
    where = _geometry(findings, keys, place, seen)
    return Conditions(
        scale=scale,
        geometry="" if where == "-" else where,
        stage=_stage(findings, keys),
        bandpass=_bandpass(findings),
    )


def for_coordinates(findings: Findings, keys: Mapping[str, str], rest: str, seen: str) -> Conditions:
    """Return the conditions of L*, a*, b*, where illuminant and observer may stand inside a heading
    (`rest`).
    """
    light, eye = headings.light_in(rest)
    where = _geometry(findings, keys, rest, seen)
    name = _one(findings, keys, "illuminant", light, illuminant)
    if not name:
        choices = {"D65": "average daylight", "D50": "printing daylight", "A": "lamp light"}
        findings.ask("illuminant", "For which illuminant were L*, a*, b* computed?", _silent(rest), choices)
    seen_by = _one(findings, keys, "observer", eye, lambda text: str(observer(text)))
    if not seen_by:
        choices = {"10": "10 degree observer", "2": "2 degree observer"}
        findings.ask("observer", "For which observer were L*, a*, b* computed?", _silent(rest), choices)
    return Conditions(
        geometry="" if where == "-" else where,
        illuminant="" if name == EACH_ROW else name,
        observer=0 if seen_by == EACH_ROW else int(seen_by or 0),
        stage=_stage(findings, keys),
    )


def settle_scale(
    findings: Findings,
    keys: Mapping[str, str],
    frame: str,
    span: tuple[float, float],
    lines: Sequence[str] = (),
) -> str:
    """Return the scale of reflectance values: from the headings, a key line or the option; else it is
    asked for.

    lines  what stands above the table; a scale in its sentences is not taken, but asked about where another is told
    """
    key = next((value for name, value in keys.items() if words.CONDITION_KEYS["scale"].match(name)), "")
    said = headings.scale_in(frame) or scale_of(key)
    told = findings.told("scale")
    _other_scale(findings, said or told or "", [*lines, *(f"{name}: {value}" for name, value in keys.items())])
    if said and told and said != told:
        findings.fault("", f"the option says scale {told}, the file says {said}", "Drop the option, or correct it.")
    if said or told:
        findings.saw("scale", said or told or "", "" if told else "the file says so", how="seen" if said else "told")
        return said or told or ""
    low, high = span
    findings.ask(
        "scale",
        "These are taken as reflectance factors: which number is the perfect white?",
        f"no heading names a unit; values run from {low:g} to {high:g}",
    )
    return ""


def _other_scale(findings: Findings, scale: str, lines: Sequence[str]) -> None:
    """Ask once more where a line above the table speaks of reflectance in another scale than the one in use."""
    for line in lines:
        named = headings.scale_in(line) if words.says_reflectance(line) else ""
        if scale and named and named != scale and findings.told("scale_confirmed") != scale:
            why = f"a line above says {line[:60]!r}"
            findings.ask("scale_confirmed", f"Are the values really {scale}?", why, {scale: f"yes, they are {scale}"})
            return


def _geometry(findings: Findings, keys: Mapping[str, str], place: str, seen: str) -> str:
    """Return the geometry of all readings, `-` where the table gives each its own, or nothing after
    asking.
    """
    if seen == "-":
        if told := findings.told("geometry"):
            problem = f"the option says geometry {told}, the table gives each reading its own"
            findings.fault("", problem, "Drop the option geometry.")
        return seen
    where = _one(findings, keys, "geometry", seen, geometry)
    gloss = next((value for name, value in keys.items() if words.SPECULAR_KEY.match(name)), "")
    if gloss and where in GLOSS_IN and gloss_of(gloss) not in {"", GLOSS_IN[where]}:
        problem = f"the geometry is taken as {where}, a line above says that the specular component is {gloss!r}"
        findings.fault("", problem, "Correct the option geometry: di:8 is included, de:8 excluded.")
    _refuse_other_angle(findings, keys, where)
    if not where:
        findings.ask("geometry", "Under which geometry was this measured?", _silent(place), _GEOMETRIES)
    return where


def _refuse_other_angle(findings: Findings, keys: Mapping[str, str], where: str) -> None:
    """Refuse a geometry for all readings where a line above names another angle."""
    for name, value in keys.items():
        if not words.ANGLE.match(name) or words.CONDITION_KEYS["geometry"].match(name):
            continue
        angle = _DEGREES.match(value)
        if angle and where and not where.endswith(f"as{int(angle[1])}"):
            problem = f"the geometry is taken as {where}, the line {name!r} says {value[:40]!r}"
            findings.fault(
                "", problem, f"Correct the option geometry, such as 45as{int(angle[1])}, or take the line out."
            )
            return


def _one(findings: Findings, keys: Mapping[str, str], what: str, seen: str, spell: Callable[[str], str]) -> str:
    """Return one condition: seen in a heading, else on a key line, else told; a contradiction is a fault."""
    why = "a heading says so"
    if keys.get(what) == EACH_ROW:
        return EACH_ROW
    if not seen:
        key, seen = _key(keys, what)
        why = f"the line {key!r} says so"
    told = findings.told(what)
    if seen:
        try:
            seen = spell(seen)
        except SprayoutError as wrong:
            if not told:
                findings.fault("", wrong.fault.problem, f"Tell it with the option {what}.")
            return told or ""
    if seen and told and seen != told:
        findings.fault("", f"the option says {what} {told}, the file says {seen}", "Drop the option, or correct it.")
    if seen or told:
        findings.saw(what, seen or told or "", why if seen else "", how="seen" if seen else "told")
    return seen or told or ""


def _key(keys: Mapping[str, str], what: str) -> tuple[str, str]:
    """Return the key line that states a condition, and its text; one line may state illuminant and
    observer.
    """
    for name, value in keys.items():
        if words.CONDITION_KEYS[what].match(name):
            return name, value
    for name, value in keys.items():
        if what in {"illuminant", "observer"} and words.LIGHT_KEY.match(name):
            light, eye = headings.light_in(value)
            if found := light if what == "illuminant" else eye:
                return name, found
    return "", ""


def _stage(findings: Findings, keys: Mapping[str, str]) -> str:
    if keys.get("stage") == EACH_ROW:
        return ""
    named = (value.lower() for name, value in keys.items() if words.CONDITION_KEYS["stage"].match(name))
    key = next((value for value in (*named, *(value.lower() for value in keys.values())) if value in STAGES), "")
    told = findings.told("stage")
    if key in STAGES:
        if told and told != key:
            problem = f"the option says stage {told}, the file says {key}"
            findings.fault("", problem, "Drop the option, or correct it.")
        findings.saw("stage", key, "a key line says so")
        return key
    if told:
        findings.saw("stage", told, how="told")
        return told
    findings.ask("stage", "What had been done to the pieces when they were measured?", "the file does not say")
    return ""


def _bandpass(findings: Findings) -> str:
    if told := findings.told("bandpass"):
        findings.saw("bandpass", told, how="told")
        return told
    findings.saw("bandpass", "not said", "nobody says whether the bandwidth was corrected for", how="assumed")
    return ""


def _silent(place: str) -> str:
    return f"neither the headings ({place}) nor the lines above say" if place else "the file does not say"
