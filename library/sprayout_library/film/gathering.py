"""From documents to what the film optics of core learns from: grounds with readings, and steps of panels."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from sprayout_core.documents import Document, Formula, Material, Panel, Reading
from sprayout_core.errors import SprayoutError
from sprayout_library.film.shares import Sprayed, dry_shares
from sprayout_library.record.evidence import Evidence, evidence_for
from sprayout_library.record.measured import in_force
from sprayout_library.store import Store

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.film import Ground, PanelStep

    Array = npt.NDArray[np.float64]

__all__ = ["COLOURING", "GRID", "Gathered", "gathered", "ground_kind", "spectrum_on"]

#: The grid that film optics works on: that of most instruments.
GRID = tuple(range(400, 701, 10))
_METALLIC = ("metallic", "pearl", "flake")
#: Roles whose share of the film is learned; all else is clear.
COLOURING = ("dye", "pearl", "flake", "metallic", "solid")
_ZONES = {"over_black": "black", "over_white": "white"}
_CLEARED = ("cleared", "polished")
#: How far below the surface's own reflection a specular-included reading may lie by noise and by another index.
_NOISE = 0.004


@dataclass(slots=True)
class Gathered:
    """What a library's panels give.

    called    what each document is called in all that follows: its name, with the end of its id where two share one
    grounds   by the id of the ground's document; zones over black and white stand under "panel/zone"
    steps     readings of steps, for learning
    hazy      materials that may scatter: pearls, flakes, solid colours
    left_out  panel and reason, for each reading that could not be used
    notes     what was assumed, in words
    bare      panels whose steps were read before any clear lay on them
    """

    called: dict[str, str] = field(default_factory=dict)
    grounds: dict[str, Ground] = field(default_factory=dict)
    steps: list[PanelStep] = field(default_factory=list)
    hazy: set[str] = field(default_factory=set)
    left_out: list[tuple[str, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    bare: set[str] = field(default_factory=set)

    def name(self, document: Document) -> str:
        """Return what a document is called here, the same at each call and unlike any other's."""
        if document.id not in self.called:
            taken = document.name in self.called.values()
            self.called[document.id] = f"{document.name} …{document.id[-6:]}" if taken else document.name
        return self.called[document.id]


def spectrum_on(reading: Reading, geometry: str) -> Array | None:
    """Return a reading's spectrum at a geometry on the grid of film optics, (31,), or None where it has none there.

    A grid that is finer or even within 400 to 700 nm is read at its own points where they fit, else interpolated.
    """
    import numpy as np

    for one in reading.measured:
        spectrum = one.reduced or one.spectrum
        if one.geometry == geometry and spectrum is not None:
            nm, values = np.array(spectrum.grid()), np.array(spectrum.values, dtype=float)
            if nm[0] > GRID[0] or nm[-1] < GRID[-1] or np.diff(nm).max() > 20:
                return None
            result: Array = np.interp(np.array(GRID, dtype=float), nm, values)
            return result
    return None


def ground_kind(document: Document | None) -> str:
    """Return how a ground sends light back: metallic by its role (or that of a part of it), else diffusing."""
    if isinstance(document, Material):
        return "metallic" if document.role in _METALLIC else "diffusing"
    return "diffusing"


def gathered(store: Store, evidence: Evidence | None = None) -> Gathered:
    """Return everything that can be learned from, with reasons for what cannot."""
    evidence = evidence or evidence_for(store, "panel", "reading")
    found = Gathered()
    panels = [panel for panel in evidence.panels.values() if panel.withdrawn is None]
    _grounds(store, evidence, panels, found)
    sprayed = Sprayed(store)
    for panel in sorted(panels, key=lambda one: one.id):
        if panel.coats:
            _steps(store, evidence, panel, found, sprayed)
    return found


def _grounds(store: Store, evidence: Evidence, panels: Iterable[Panel], found: Gathered) -> None:
    """A ground's colour is a reading of step 0, or of a panel of it without coats; cleared ones count first.

    What lies under a zone over black or white is read on that very panel; else on any panel of the same ground (the
    same printed card).
    """
    from sprayout_core.film import Ground, GroundKind, ground_from_bare

    readings: dict[str, list[Reading]] = defaultdict(list)
    for panel in panels:
        if panel.ground is None:
            continue
        for reading in in_force(evidence.readings.get(panel.id, [])):
            if reading.step == "0" or not panel.coats:
                zone = reading.zone if reading.zone in _ZONES else None
                for whose in (panel.id, panel.ground.id) if zone else ():
                    readings[f"{whose}/{zone}"].append(reading)
                if not zone:
                    readings[panel.ground.id].append(reading)
    for key, measured in sorted(readings.items()):
        kind = GroundKind("diffusing" if "/" in key else ground_kind(store.find(key)))
        document = store.find(key.partition("/")[0])
        if document is None:
            continue
        cleared = [one for one in measured if one.stage.surface in _CLEARED]
        spectra = _by_geometry(cleared or measured)
        for geometry in list(spectra) if cleared else ():
            try:
                spectra[geometry] = _under_surface(spectra[geometry], geometry)
            except SprayoutError as error:
                found.left_out.append((document.id, error.fault.problem))
                del spectra[geometry]
        if not spectra:
            continue
        zone = key.partition("/")[2]
        name = f"{_ZONES[zone]} of {found.name(document)}" if zone else found.name(document)
        try:
            if cleared:
                found.grounds[key] = Ground(name, kind, spectra)
            else:
                found.grounds[key] = ground_from_bare(name, kind, spectra)
                found.notes.append(f"{name} was read bare and converted to cleared")
        except SprayoutError as error:
            # One wrong reading of a ground costs that ground, not every answer.
            found.left_out.append((document.id, error.fault.problem))


def _by_geometry(readings: Iterable[Reading]) -> dict[str, Array]:
    import numpy as np

    rows: dict[str, list[Array]] = defaultdict(list)
    for reading in readings:
        for one in reading.measured:
            values = spectrum_on(reading, one.geometry)
            if values is not None:
                rows[one.geometry].append(values)
    return {geometry: np.mean(np.array(values), axis=0) for geometry, values in rows.items()}


def _under_surface(values: Array, geometry: str) -> Array:
    """Return a cleared reading that holds its surface's own reflection where the geometry says so, or refuse it.

    Noise below that reflection is lifted to it; what lies further below was taken with the specular excluded.
    """
    import numpy as np

    from sprayout_core.film import fresnel, geometry_of

    place = geometry_of(geometry)
    shine = place.specular * float(fresnel(1.5, place.view_deg))
    if shine and float(values.min()) < shine - _NOISE:
        raise SprayoutError(
            f"its {geometry} reading lies below the surface's own reflection: was the specular excluded (de:8)?"
        )
    lifted: Array = np.maximum(values, shine)
    return lifted


def _steps(store: Store, evidence: Evidence, panel: Panel, found: Gathered, sprayed: Sprayed) -> None:
    from sprayout_core.film import PanelStep

    try:
        shares = _shares(store, panel, found, sprayed)
    except SprayoutError as error:
        found.left_out.append((panel.id, error.fault.problem))
        return
    by_spot: dict[tuple[str, str], list[Reading]] = defaultdict(list)
    for reading in in_force(evidence.readings.get(panel.id, [])):
        if reading.grade == "spectrum" and reading.step != "0":
            by_spot[reading.zone or "", reading.step or ""].append(reading)
    for (zone, step), readings in sorted(by_spot.items()):
        ground = _under(panel, zone, found)
        if ground is None:
            found.left_out.append((panel.id, "its ground has no reading: measure it once without coats"))
            continue
        # Bare and cleared are never averaged: what was read under its clear counts.
        cleared = [one for one in readings if one.stage.surface in _CLEARED]
        if not cleared:
            found.bare.add(found.name(panel))
        try:
            coats, sure = _coats(panel, step)
        except SprayoutError as error:
            found.left_out.append((panel.id, error.fault.problem))
            continue
        for geometry, values in _by_geometry(cleared or readings).items():
            # One geometry that cannot be used costs that geometry, not the others of its step.
            try:
                one = PanelStep(
                    found.name(panel),
                    ground,
                    shares,
                    coats,
                    geometry,
                    _under_surface(values, geometry) if cleared else values,
                    film_um=_film_um(panel, step),
                    weight=1.0 if sure else 0.5,
                    shop=panel.provenance.shop or "",
                )
            except SprayoutError as error:
                found.left_out.append((panel.id, error.fault.problem))
            else:
                found.steps.append(one)


def _under(panel: Panel, zone: str, found: Gathered) -> Ground | None:
    if panel.ground is None:
        return None
    keys = (f"{panel.id}/{zone}", f"{panel.ground.id}/{zone}") if zone in _ZONES else (panel.ground.id,)
    return next((found.grounds[key] for key in keys if key in found.grounds), None)


def _film_um(panel: Panel, step: str) -> float | None:
    """Return the dry film at a step where every coat of it was measured and counted for sure."""
    coats = panel.coats or []
    if not all(coat.film_um and coat.count.isdigit() for coat in coats):
        return None
    if step and panel.steps and step in panel.steps:
        return float(coats[0].film_um or 0) * panel.steps[step] if len(coats) == 1 else None
    return sum(float(coat.film_um or 0) * int(coat.count) for coat in coats)


def _shares(store: Store, panel: Panel, found: Gathered, sprayed: Sprayed) -> dict[str, float]:
    formulas = {coat.formula for coat in panel.coats or []}
    if len(formulas) != 1:
        raise SprayoutError("several mixes lie on each other: not learned from")
    formula = store.find(next(iter(formulas)))
    if not isinstance(formula, Formula):
        raise SprayoutError("its mix is not here")
    shares = dry_shares(sprayed.shares(panel, formula), store.find)
    colouring = {}
    for key, share in shares.items():
        material = store.find(key)
        if isinstance(material, Material) and material.role in COLOURING:
            colouring[found.name(material)] = float(share)
            if material.role != "dye":
                found.hazy.add(found.name(material))
    if not colouring:
        raise SprayoutError("nothing in its mix colours")
    return colouring


def _coats(panel: Panel, step: str) -> tuple[float, bool]:
    """Return the coats at a step, and whether they were counted for sure."""
    if step and panel.steps and step in panel.steps:
        return float(panel.steps[step]), True
    if panel.steps:
        raise SprayoutError("a step card read as a whole: no count of coats belongs to that reading")
    total, sure = Fraction(0), True
    for coat in panel.coats or []:
        words = coat.count.removeprefix("about ").split(" to ")
        if not all(word.isdigit() for word in words):
            raise SprayoutError(f"sprayed {coat.count}: not a number of coats")
        total += Fraction(sum(int(word) for word in words), len(words))
        sure &= coat.count.isdigit()
    return float(total), sure
