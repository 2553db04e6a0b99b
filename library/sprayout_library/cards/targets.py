"""The known colours of a shop: the values of its reference target and of its own measured chips."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import Fault, FaultsError, SprayoutError

if TYPE_CHECKING:
    from sprayout_core.card import Frame, Reference
    from sprayout_core.light import View
    from sprayout_core.tables import TableReading

__all__ = ["KnownColours", "known_colours", "known_from_rows", "recorded_colours", "reference_for"]

_CELL = re.compile(r"[A-Z]\d{1,2}\Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class KnownColours:
    """Known colours that may be laid into a card.

    name      what the shop calls them
    illuminant, observer, geometry   of the values, and so of every colour that a card gives with them
    colours   L*, a*, b* by 'window/label'
    source    digest of the table they came from
    """

    name: str
    illuminant: str
    observer: int
    geometry: str
    colours: Mapping[str, tuple[float, float, float]]
    source: str

    def tree(self) -> dict[str, Any]:
        """Return the values as they are kept."""
        return {
            "illuminant": self.illuminant,
            "observer": self.observer,
            "geometry": self.geometry,
            "colours": {cell: list(lab) for cell, lab in self.colours.items()},
            "source": self.source,
        }


def known_from_rows(name: str, rows: Iterable[TableReading], view: View, source: str) -> KnownColours:
    """Return known colours from the rows of a table; every fault is told at once.

    A row's name is the cell: `A1` of the target, `chip 3` of the own chips, or `window/label`. L*a*b* are taken
    as given, with their light; spectra are computed for `view`.
    """
    faults: list[Fault] = []
    colours: dict[str, tuple[float, float, float]] = {}
    lights: set[tuple[str, int]] = set()
    geometries: set[str] = set()
    for row in rows:
        cell = _cell(row.label)
        if not cell:
            faults.append(Fault(f"line {row.line}", "names no cell", "Name it A1 to D6, chip 1 to chip 8."))
            continue
        if cell in colours:
            faults.append(Fault(f"line {row.line}", f"{cell} stands twice", "Give each cell one value."))
            continue
        try:
            colours[cell], light = _lab(row, view)
        except SprayoutError as wrong:
            faults.append(Fault(f"line {row.line}", wrong.fault.problem, wrong.fault.remedy))
            continue
        lights.add(light)
        geometries.add(row.conditions.geometry)
    if len(lights) > 1 or len(geometries) > 1:
        faults.append(Fault(name, "values of several lights or geometries", "Give one table for each."))
    if not colours and not faults:
        faults.append(Fault(name, "no colour is in the table", "Give a row for each cell."))
    if faults:
        raise FaultsError(faults)
    ((illuminant, observer),) = lights
    return KnownColours(name, illuminant, observer, geometries.pop(), colours, source)


def known_colours(kept: object) -> list[KnownColours]:
    """Return the known colours from the facts they are kept in. Raises SprayoutError where those are spoiled."""
    if not isinstance(kept, dict):
        return []
    try:
        return [
            KnownColours(
                str(name), str(one["illuminant"]), int(one["observer"]), str(one["geometry"]),
                {str(cell): (float(lab[0]), float(lab[1]), float(lab[2])) for cell, lab in one["colours"].items()},
                str(one["source"]),
            )
            for name, one in sorted(kept.items())
        ]  # fmt: skip
    except (KeyError, TypeError, ValueError, AttributeError, IndexError):
        raise SprayoutError(
            "the known colours kept here are spoiled", "Record them anew: sprayout card target"
        ) from None


def recorded_colours(names: Sequence[str] = ()) -> list[KnownColours]:
    """Return the known colours recorded on this machine: all, or those of the names given.

    Raises SprayoutError for a name that nothing is recorded under.
    """
    from sprayout_library.machine import shop_facts

    known = known_colours(shop_facts().get("known_colours"))
    if missing := [name for name in names if name not in {one.name for one in known}]:
        raise SprayoutError(f"no known colours are called {missing[0]!r}", "sprayout card target lists them.")
    return [one for one in known if one.name in names] if names else known


def reference_for(frame: Frame, known: Sequence[KnownColours]) -> tuple[Reference, str]:
    """Return the known colours that a frame has cells for, and the geometry of their values.

    Raises SprayoutError where there are none, where they differ in light or geometry, and where two know one cell.
    """
    from sprayout_core.card import Reference, WindowKind
    from sprayout_core.light import View

    if not known:
        raise SprayoutError(
            "no known colours are recorded here", "Record a target or measured chips: sprayout card target FILE."
        )
    if len({(one.illuminant, one.observer, one.geometry) for one in known}) > 1:
        raise SprayoutError("the known colours differ in light or geometry", "Choose with --target NAME.")
    cells = {f"{window.name}/{label}" for window in frame.windows if window.kind is WindowKind.REFERENCE
             for label in window.labels}  # fmt: skip
    colours: dict[str, tuple[float, float, float]] = {}
    for one in known:
        for cell, lab in one.colours.items():
            if cell in colours:
                raise SprayoutError(f"two values are known for {cell}", "Choose with --target NAME.")
            if cell in cells:
                colours[cell] = lab
    if not colours:
        raise SprayoutError("none of the known colours has a cell on this card", "Name cells as the card does: A1.")
    first = known[0]
    name = " and ".join(one.name for one in known)
    return Reference(name, View(first.illuminant, first.observer), colours), first.geometry


def _cell(label: str) -> str:
    text = label.strip()
    if "/" in text:
        window, _, cell = text.partition("/")
        return f"{window.strip()}/{cell.strip()}"
    if _CELL.match(text.upper()):
        return f"target/{text.upper()}"
    return f"own chips/{text.casefold()}" if re.fullmatch(r"chip [1-8]", text.casefold()) else ""


def _lab(row: TableReading, view: View) -> tuple[tuple[float, float, float], tuple[str, int]]:
    about = row.conditions
    if all(name in row.coordinates for name in ("L*", "a*", "b*")):
        L, a, b = (row.coordinates[name] for name in ("L*", "a*", "b*"))
        return (L, a, b), (about.illuminant, about.observer)
    if not row.values:
        raise SprayoutError("neither L*a*b* nor a spectrum", "Give one of them.")
    import numpy as np

    from sprayout_core.light import colour

    L, a, b = colour(np.array(row.values), np.array(row.wavelengths), view).lab.tolist()
    return (L, a, b), (str(view.illuminant), view.observer)
