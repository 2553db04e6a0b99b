"""Columns that state a condition of each row's own reading: stage, light, observer, gloss, scale, quantity."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import SCALES, STAGES, Conditions, illuminant, observer
from sprayout_plugins.instrument_csv import headings, words
from sprayout_plugins.instrument_csv.options import Findings

__all__ = ["EACH_ROW", "GLOSS_IN", "Stated", "gloss_of", "read_stated", "scale_of", "stated_columns", "stated_keys"]

EACH_ROW = "\0"
"""In place of a key line's text: each row gives its own. No text of a file holds it."""

GLOSS_IN = {"di:8": "i", "8:di": "i", "de:8": "e", "8:de": "e"}
"""Whether a geometry takes the specular component in."""

_GIVEN = ("stage", "illuminant", "observer")
_INCLUDED = re.compile(r"\W*(?:sci|(?:specular\W*)?(?:component\W*)?(?:included|incl\.?))\W*\Z", re.IGNORECASE)
_EXCLUDED = re.compile(r"\W*(?:sce|(?:specular\W*)?(?:component\W*)?(?:excluded|excl\.?))\W*\Z", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Stated:
    """One such column: its cell, counted from 0, its heading, and which condition it states."""

    column: int
    heading: str
    what: str


def stated_columns(
    named: Sequence[str], rows: Sequence[Sequence[str]], used: set[int], findings: Findings, *, coordinates: str = ""
) -> tuple[Stated, ...]:
    """Return the columns beside the readings that state a condition of them.

    coordinates  anything where the readings are L*, a*, b*, which have an illuminant and an observer

    A column that gives each reading its own stage, illuminant or observer beside an option that says it of all is a
    fault.
    """
    found = []
    for at, heading in enumerate(named):
        shown = [cell for row in rows if (cell := row[at].strip())]
        if at in used or not shown:
            continue
        what = _what(heading, shown)
        if what in {"illuminant", "observer"} and not coordinates:
            continue
        if what == "quantity" and findings.told("quantity") == "reflectance":
            continue
        if what:
            found.append(Stated(at, heading, what))
            findings.saw(what, f"column {heading or at + 1}", "each row gives its own")
        if what in _GIVEN and (told := findings.told(what)):
            problem = f"the option says {what} {told}, the column {heading!r} gives each reading its own"
            findings.fault("", problem, f"Drop the option {what}.")
    return tuple(found)


def stated_keys(stated: Sequence[Stated], rows: Sequence[Sequence[str]]) -> dict[str, str]:
    """Return what columns state of all rows, as key lines would: by condition its text, or EACH_ROW."""
    keys = {}
    for one in stated:
        shown = {cell for row in rows if (cell := row[one.column].strip())}
        if one.what in _GIVEN:
            keys[one.what] = EACH_ROW
        elif one.what == "scale" and len(shown) == 1:
            keys["scale"] = shown.pop()
    return keys


def read_stated(row: Sequence[str], stated: Sequence[Stated], about: Conditions) -> Conditions | tuple[int, str]:
    """Return the conditions of one row's reading, or the cell that contradicts them and how."""
    for one in stated:
        cell = row[one.column].strip()
        try:
            if one.what == "stage":
                about = replace(about, stage=_stage(cell))
            elif one.what == "illuminant":
                about = replace(about, illuminant=illuminant(cell))
            elif one.what == "observer":
                about = replace(about, observer=observer(cell))
            elif wrong := _contradicted(one.what, cell, about):
                return one.column, wrong
        except SprayoutError as wrong:
            return one.column, wrong.fault.problem
    return about


def scale_of(text: str) -> str:
    """Return the scale a cell or a key line's value names, or nothing."""
    plain = text.strip().lower()
    return plain if plain in SCALES else headings.scale_in(text)


def gloss_of(text: str) -> str:
    """Return `i` where a text says that the specular component is included, `e` where excluded, else nothing."""
    return "i" if _INCLUDED.match(text) else "e" if _EXCLUDED.match(text) else ""


def _what(heading: str, shown: Sequence[str]) -> str:
    """Return which condition a column states, by its heading and the cells shown, or nothing."""
    if all(cell.lower() in STAGES for cell in shown):
        return "stage"
    if all(map(gloss_of, shown)):
        return "gloss"
    for what in ("illuminant", "observer", "scale"):
        if words.CONDITION_KEYS[what].match(heading):
            return what if what != "scale" or any(map(scale_of, shown)) else ""
    return "quantity" if words.QUANTITY_KEY.match(heading) else ""


def _stage(cell: str) -> str:
    if cell.lower() not in STAGES:
        raise SprayoutError(f"{cell!r} is none of {', '.join(STAGES)}", place="stage")
    return cell.lower()


def _contradicted(what: str, cell: str, about: Conditions) -> str:
    """Return how a cell contradicts what the reading is taken as, or nothing."""
    if what == "scale" and about.scale and (said := scale_of(cell)) and said != about.scale:
        return f"the row says {said}, the table is read as {about.scale}"
    if what == "gloss" and (said := gloss_of(cell)) and GLOSS_IN.get(about.geometry, said) != said:
        return f"{cell!r}, but the reading is taken as {about.geometry}"
    if what == "quantity" and (other := words.other_quantity(cell) or words.short_other(cell)):
        return f"the row says {cell[:40]!r}: {other}, no reflectance"
    return ""
