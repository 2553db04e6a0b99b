"""What the fields of a measurement table mean: sample, geometry, wavelengths, coordinates."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import SCALES, Conditions
from sprayout_plugins.instrument_csv import cells, conditions, words
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.stated import Stated, stated_columns, stated_keys
from sprayout_plugins.measurement_table.sections import Sections

__all__ = ["GEOMETRY_FIELD", "KEYWORDS", "Fields", "fields_of"]

GEOMETRY_FIELD = "SAMPLE_GEOMETRY"
"""Our own field (declared by KEYWORD) for tables with several geometries; the standard has none."""

KEYWORDS = {"geometry": "MEASURING_GEOMETRY", "stage": "PANEL_STAGE", "scale": "REFLECTANCE_SCALE"}
"""Our own keywords (declared by KEYWORD) for conditions that the standard has no keyword for."""

_SPECTRAL = re.compile(r"(?:SPECTRAL_?(?:NM|PCT|DEC)?_?|NM_?)(\d{3,4}(?:[.,]\d+)?)\Z", re.IGNORECASE)
_TRIPLES = (("LAB_L", "LAB_A", "LAB_B"), ("XYZ_X", "XYZ_Y", "XYZ_Z"))
_NAMES = {"LAB_L": "L*", "LAB_A": "a*", "LAB_B": "b*", "XYZ_X": "X", "XYZ_Y": "Y", "XYZ_Z": "Z"}
_WEIGHTING = re.compile(r"\s*(ILLUMINANT|OBSERVER)\s*,\s*(.*?)\s*\Z", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Fields:
    """Where a reading stands in a set.

    label        place of the sample's name
    identity     place of SAMPLE_ID, -1 where there is none
    geometry     place of the geometry, -1 where the table has one for all
    columns      places of the values, in ascending wavelength or as named
    wavelengths  nm, ascending; empty for coordinates
    names        names of coordinates; empty for a spectrum
    extras       places kept as text
    keys         keywords that say something of all readings
    stated       fields that state conditions of the set's own reading
    """

    label: int
    identity: int
    geometry: int
    columns: tuple[int, ...]
    wavelengths: tuple[float, ...]
    names: tuple[str, ...]
    extras: tuple[int, ...]
    conditions: Conditions
    keys: dict[str, str]
    stated: tuple[Stated, ...] = ()


def fields_of(found: Sections, findings: Findings, source: str, shown: Sequence[Sequence[str]]) -> Fields | None:
    """Return what a table's fields mean, or None after noting what stands in the way.

    shown  the first few sets, for questions

    L*, a*, b* without illuminant and observer raise SprayoutError: the standard wants both.
    """
    keys = _keys(found)
    label = next((found.fields.index(name) for name in ("SAMPLE_NAME", "SAMPLE_ID") if name in found.fields), -1)
    if label < 0:
        line = found.places["BEGIN_DATA_FORMAT"]
        findings.fault(f"line {line}", "no field SAMPLE_ID or SAMPLE_NAME", "Name the samples in the table.")
        return None
    findings.saw("label", found.fields[label], "the standard's field for it")
    spectral = sorted(
        (float(number[1].replace(",", ".")), place)
        for place, name in enumerate(found.fields)
        if (number := _SPECTRAL.match(name))
    )
    base = Fields(
        label=label,
        identity=found.fields.index("SAMPLE_ID") if "SAMPLE_ID" in found.fields else -1,
        geometry=found.fields.index(GEOMETRY_FIELD) if GEOMETRY_FIELD in found.fields else -1,
        columns=tuple(place for _, place in spectral),
        wavelengths=tuple(length for length, _ in spectral),
        names=(),
        extras=(),
        conditions=Conditions(),
        keys=_beside(found, keys),
    )
    sets = [row for row in shown if len(row) == len(found.fields) and row[0] != "END_DATA"]
    coordinates = "" if spectral else "L*"
    stated = stated_columns(found.fields, sets, _used(base, found), findings, coordinates=coordinates)
    keys |= stated_keys(stated, sets)
    base = replace(base, stated=stated)
    known = (
        _spectrum(base, found, keys, findings, shown) if spectral else _coordinates(base, found, keys, findings, source)
    )
    if known is None:
        return None
    used = {known.label, known.geometry, *known.columns}
    return replace(known, extras=tuple(place for place in range(len(found.fields)) if place not in used))


def _used(base: Fields, found: Sections) -> set[int]:
    """Return the places of fields with a meaning of their own."""
    named = {place for place, name in enumerate(found.fields) if name in _NAMES}
    return {base.label, base.identity, base.geometry, *base.columns} | named


def _spectrum(
    base: Fields, found: Sections, keys: dict[str, str], findings: Findings, shown: Sequence[Sequence[str]]
) -> Fields | None:
    if len(set(base.wavelengths)) != len(base.wavelengths):
        line = found.places["BEGIN_DATA_FORMAT"]
        findings.fault(f"line {line}", "two fields have one wavelength", "Keep one of them.")
        return None
    if _other_quantity(found, findings):
        return None
    names = {re.sub(r"[\d.,]+\Z", "", found.fields[place]).upper().rstrip("_") for place in base.columns}
    frame = "%" if names == {"SPECTRAL_PCT"} else "fraction" if names == {"SPECTRAL_DEC"} else ""
    findings.saw("wavelengths", f"{base.wavelengths[0]:g} to {base.wavelengths[-1]:g} nm", "names of the fields")
    scale = conditions.settle_scale(findings, keys, frame, _span(base.columns, shown))
    about = conditions.for_spectrum(findings, keys, "", "-" if base.geometry >= 0 else "", scale)
    return replace(base, conditions=about)


def _other_quantity(found: Sections, findings: Findings) -> bool:
    """Ask where a keyword says another quantity than reflectance; refuse where it is told."""
    if findings.told("quantity") == "other":
        findings.fault("", "the values are told to be no reflectance", "Export reflectance factors.")
        return True
    for name, value in found.keywords:
        quantity = words.other_quantity(value)
        if quantity and findings.told("quantity") is None:
            why = f"line {found.places[name]} says {value[:60]!r}: {quantity}"
            findings.ask("quantity", "Are these reflectance factors?", why)
            return True
    return False


def _span(columns: Sequence[int], shown: Sequence[Sequence[str]]) -> tuple[float, float]:
    cells_ = [row[place] for row in shown for place in columns if place < len(row)]
    values = [float(cell.replace(",", ".")) for cell in cells_ if cells.numberish(cell)]
    return (min(values), max(values)) if values else (0.0, 0.0)


def _coordinates(base: Fields, found: Sections, keys: dict[str, str], findings: Findings, source: str) -> Fields | None:
    for triple in _TRIPLES:
        if not set(triple) <= set(found.fields):
            continue
        for what in ("illuminant", "observer"):
            if findings.told(what) is None and not any(words.CONDITION_KEYS[what].match(key) for key in keys):
                raise SprayoutError(
                    f"the field {triple[0]} is there, but no {what} is named",
                    f'Add a line such as WEIGHTING_FUNCTION "{what.upper()}, ...", or tell the option {what}.',
                    place=f"{source}, line {found.places[triple[0]]}",
                )
        about = conditions.for_coordinates(findings, keys, "", "-" if base.geometry >= 0 else "")
        return replace(
            base,
            columns=tuple(found.fields.index(name) for name in triple),
            names=tuple(_NAMES[name] for name in triple),
            conditions=about,
        )
    line = found.places["BEGIN_DATA_FORMAT"]
    findings.fault(f"line {line}", "the fields hold no reflectance, L*, a*, b* or X, Y, Z", "Export one of these.")
    return None


def _keys(found: Sections) -> dict[str, str]:
    """Return the keywords by names that conditions are known by: blanks for underscores, weighting
    functions apart.
    """
    keys: dict[str, str] = {}
    for name, value in found.keywords:
        weighting = _WEIGHTING.match(value) if name == "WEIGHTING_FUNCTION" else None
        if weighting:
            keys[weighting[1].lower()] = weighting[2]
        else:
            keys[name.replace("_", " ").lower()] = value
    return keys


def _beside(found: Sections, keys: dict[str, str]) -> dict[str, str]:
    """Return the keywords that are kept with the readings as they are: all that do not say a condition."""
    kept: dict[str, str] = {}
    for name, value in found.keywords:
        if name == "KEYWORD" or name in KEYWORDS.values() or (name == "WEIGHTING_FUNCTION" and _WEIGHTING.match(value)):
            continue
        key = name
        while key in kept:
            key += "'"
        kept[key] = value
    return kept


def divisor(about: Conditions) -> float:
    """Return what a value is divided by to be a reflectance factor."""
    return SCALES.get(about.scale, 1.0)
