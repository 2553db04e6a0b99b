"""What a colour search looks for: L*a*b* typed, or the colour of a panel's spot or of one reading."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.errors import SprayoutError
from sprayout_library.index.kept import STAGES
from sprayout_library.index.opened import Index, Known, Level
from sprayout_library.index.rows import key

__all__ = ["Target", "read_target"]

Array = npt.NDArray[np.float64]

_NUMBER = r"[-+−]?\d+(?:[.,]\d+)?"
_TYPED = re.compile(
    rf"\s*(?:(?P<geometry>[^\s=]+)\s*=)?\s*(?P<L>{_NUMBER})[\s;]+(?P<a>{_NUMBER})[\s;]+(?P<b>{_NUMBER})\s*"
)


@dataclass(frozen=True, slots=True)
class Target:
    """L*, a*, b* by geometry and place of the view in the index; `stage` where only that stage compares.

    said    what it is, in words
    itself  the panel it was taken from, which is not looked for
    """

    said: str
    labs: Mapping[tuple[str, int], tuple[float, float, float]]
    stage: str = ""
    itself: str = ""


def typed(text: str) -> dict[str, tuple[float, float, float]] | None:
    """Return L*a*b* by geometry ("" where none was said) of "52 -20 -6" or "45as15=60 -20 -5 / 45as45=...".

    None where the text is no colour.
    """
    found: dict[str, tuple[float, float, float]] = {}
    for part in text.split("/"):
        match = _TYPED.fullmatch(part)
        if match is None:
            return None
        one, two, three = (float(match[name].replace("−", "-").replace(",", ".")) for name in ("L", "a", "b"))
        found[match["geometry"] or ""] = (one, two, three)
    return found


def view_places(index: Index, lights: Sequence[str]) -> list[int]:
    """Return the places of the lights named among the views of the index; the library's own where none is."""
    from sprayout_core.light import named_view

    places = []
    for light in lights:
        view = named_view(light)
        said = (str(view.illuminant), view.observer)
        if said not in index.views:
            kept = ", ".join(name for name, _ in index.views)
            raise SprayoutError(f"colours are not kept under {view}", f"Use one of: {kept}.", place="light")
        places.append(index.views.index(said))
    return list(dict.fromkeys(places)) or [0]


def read_target(
    index: Index,
    text: str,
    lights: Sequence[str] = (),
    at: Sequence[str] = (),
    content: Callable[[str], bytes | None] | None = None,
) -> Target:
    """Return what to look for.

    text    "L* a* b*", several with their geometries, or the name of a panel (NAME, NAME/STEP) or of a reading
    lights  in which lights; the library's own where none is named
    at      at which geometries; all that the target has where none is named
    content  gives the stored form of a document, for naming a reading by the end of its id
    raises  SprayoutError where it is no colour, or has none there
    """
    places = view_places(index, lights)
    given = typed(text)
    if given is None and content is not None and (name := _reading(index, text)) and (raw := content(name)):
        return _of_reading(index, raw, places, at)
    if given is None:
        return _of_document(index, text, places, at)
    if any(not -1000 < value < 1000 for lab in given.values() for value in lab) or any(
        lab[0] < 0 for lab in given.values()
    ):
        raise SprayoutError(f"{text!r} is no L*a*b*", "L* is 0 or more; write it as 52.1 -20.4 -6.0.", place="near")
    if len(places) > 1:
        raise SprayoutError("L*a*b* typed stands for one light", "Name one light, or name a panel.", place="light")
    known = _geometries(index)
    if "" in given:
        lab = given[""]
        chosen = list(at) or known
        if len(chosen) != 1:
            remedy = f"Say which, with --at: {', '.join(known)}." if known else "Take readings in first."
            raise SprayoutError(f"colours here stand at {len(known)} geometries", remedy, place="near")
        given = {chosen[0]: lab}
    if missing := [geometry for geometry in given if geometry not in known]:
        remedy = f"Use one of: {', '.join(known)}." if known else "Take readings in first."
        raise SprayoutError(f"nothing was measured at {missing[0]}", remedy, place="near")
    said = ", ".join(f"{geometry} L* {lab[0]:g} a* {lab[1]:g} b* {lab[2]:g}" for geometry, lab in given.items())
    return Target(said, {(geometry, places[0]): lab for geometry, lab in given.items()})


def _geometries(index: Index) -> list[str]:
    return sorted({geometry for level in index.levels for geometry in level.colours.geometries()})


def _of_document(index: Index, text: str, places: Sequence[int], at: Sequence[str]) -> Target:
    name, step = text, ""
    if not index.matching(text, "panel"):
        name, _, step = text.rpartition("/") if "/" in text else (text, "", "")
    found = index.named(name, "panel")
    level, spots = _spots(index, found, step)
    if not spots:
        what = f"{found.name}{f', step {step}' if step else ''}"
        raise SprayoutError(f"{what} has no reading", "Measure it, or type its L*a*b*.", place="near")
    row, zone, step, stage, grade = max(spots, key=_deepest)
    labs: dict[tuple[str, int], tuple[float, float, float]] = {}
    for geometry in at or level.colours.geometries():
        for place in places:
            rows, lab = level.colours.lab(geometry, place)
            here = np.searchsorted(rows, row)
            if here < rows.size and rows[here] == row and np.isfinite(lab[here]).all():
                labs[geometry, place] = (float(lab[here, 0]), float(lab[here, 1]), float(lab[here, 2]))
    _refuse_gaps(index, found.name, labs, places, at)
    spot = ", ".join(part for part in (zone.replace("_", " "), f"step {step}" if step else "", stage, grade) if part)
    return Target(f"{found.name}, {spot}", labs, stage, found.id)


def _refuse_gaps(
    index: Index, called: str, labs: Mapping[tuple[str, int], object], places: Sequence[int], at: Sequence[str]
) -> None:
    """Refuse a target that lacks a colour under one of the conditions asked for: the answer would be to less."""
    if not labs and not at:
        raise SprayoutError(
            f"{called} has no colour under {_told(index, places[0])}", "Name another light.", place="near"
        )
    for geometry in at or dict.fromkeys(geometry for geometry, _ in labs):
        for place in places:
            if (geometry, place) not in labs:
                raise SprayoutError(
                    f"{called} has no colour at {geometry} under {_told(index, place)}",
                    "Name another geometry or light, or measure a spectrum.",
                    place="near",
                )


def _told(index: Index, place: int) -> str:
    from sprayout_core.light import View

    name, observer = index.views[place]
    return str(View(name, observer))


def _deepest(spot: tuple[int, str, str, str, str]) -> tuple[bool, bool, tuple[int, str], int]:
    """Return what a panel is known by: spectra first, whole panels before zones, the last step, the last stage."""
    _, zone, step, stage, grade = spot
    number = (int(step), "") if step.isdigit() else (-1, step)
    return grade == "spectrum", not zone, number, STAGES.index(stage) if stage in STAGES else -1


def _spots(index: Index, panel: Known, step: str) -> tuple[Level, list[tuple[int, str, str, str, str]]]:
    raw = key(panel.id)
    for level in index.levels:
        found = level.db.execute("SELECT n, zone, step, stage, grade FROM spot WHERE panel = ?", (raw,)).fetchall()
        if raw in level.touched() or level is index.levels[-1]:
            return level, [spot for spot in found if not step or step in (spot[1], spot[2])]
    return index.levels[-1], []


def _reading(index: Index, text: str) -> str:
    """Return the id of the one reading whose id ends so; empty where a panel is called so, or none does."""
    end = text.strip().removeprefix("…").removeprefix("...").replace("-", "").lower()
    if len(end) < 6 or set(end) - set("0123456789abcdef") or index.matching(text, "panel"):
        return ""
    found = index.readings_ending(end)
    return found[0] if len(found) == 1 else ""


def _of_reading(index: Index, content: bytes, places: Sequence[int], at: Sequence[str]) -> Target:
    from sprayout_core.light import View
    from sprayout_library.index.colours import Gathered
    from sprayout_library.index.slim import decoder

    reading = decoder("reading").decode(content)
    gathered = Gathered([View(*index.views[place]) for place in places])
    gathered.add(reading)
    labs = {}
    for geometry, means in gathered.means().items():
        if not at or geometry in at:
            for number, place in enumerate(places):
                one = means[number, 0]
                if np.isfinite(one).all():
                    labs[geometry, place] = (float(one[0]), float(one[1]), float(one[2]))
    _refuse_gaps(index, f"reading …{reading.id[-6:]}", labs, places, at)
    return Target(f"reading …{reading.id[-6:]}, {reading.stage.surface}", labs, reading.stage.surface)
