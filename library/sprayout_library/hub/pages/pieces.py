"""Panels as the wall shows them: their measured colours at every angle, their steps, or that nobody measured them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.documents import Panel
from sprayout_core.errors import SprayoutError
from sprayout_library.record import Colour, Evidence, Names, colours_of
from sprayout_library.record.between import manifest_of
from sprayout_library.record.measured import default_view
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.light import Colour as SeenColour
    from sprayout_core.light import View

__all__ = ["Band", "Facet", "Piece", "facets_of", "piece_of", "pieces_of"]


@dataclass(frozen=True, slots=True)
class Facet:
    """One spot at one angle: where it looks, in words, the colour on a screen, and whether the screen can show it."""

    geometry: str
    place: str
    away: float
    colour: str
    lab: tuple[float, float, float]
    on_screen: str

    @property
    def said(self) -> str:
        """The colour in numbers."""
        return "L* {:.1f}, a* {:.1f}, b* {:.1f}".format(*self.lab)


@dataclass(frozen=True, slots=True)
class Band:
    """One step of a step card, one zone, or the whole piece, with its angles from face to flop."""

    name: str
    spot: str
    facets: tuple[Facet, ...]
    readings: int

    @property
    def travels(self) -> bool:
        """Whether it was looked at from several angles."""
        return len(self.facets) > 1


@dataclass(frozen=True, slots=True)
class Piece:
    """A sprayed piece as it hangs on the wall."""

    id: str
    name: str
    recipe: str
    recipe_name: str
    over: str
    coats: str
    stage: str
    sprayed_at: str
    bands: tuple[Band, ...]
    kind: str = "flat"

    @property
    def lightness(self) -> float | None:
        """L* of the whole piece, of the last step of a step card; None where nothing was measured."""
        return self.bands[-1].facets[0].lab[0] if self.bands else None

    @property
    def said(self) -> str:
        """The piece in words, for those who do not see it."""
        what = [self.recipe_name or "no recipe", f"over {self.over}" if self.over else "", self.coats]
        if not self.bands:
            what.append("not measured")
        elif self.kind == "card":
            what.append("step card: " + "; ".join(f"{band.name}, {_tone(band.facets[0])}" for band in self.bands))
        else:
            what.append(", ".join(f"{_tone(facet)} {facet.place}" for facet in self.bands[-1].facets))
        return ", ".join(part for part in what if part)


def _tone(facet: Facet) -> str:
    """Return a measured colour in plain words: how light, how strong, and toward which hue."""
    import math

    lightness, a, b = facet.lab
    light = next(word for limit, word in ((20, "very dark"), (40, "dark"), (65, "medium"), (101, "light"))
                 if lightness < limit or limit == 101)  # fmt: skip
    chroma = math.hypot(a, b)
    if chroma < 6:
        return f"{light} grey"
    hue = math.degrees(math.atan2(b, a)) % 360
    names = ("red", "orange", "yellow", "yellow green", "green", "teal", "blue", "violet", "purple")
    edges = (40, 70, 100, 135, 175, 225, 285, 320, 350)
    word = next((name for name, edge in zip(names, edges, strict=True) if hue < edge), "red")
    return f"{light} {word}" if chroma >= 20 else f"{light} greyish {word}"


def pieces_of(evidence: Evidence, names: Names, store: Store) -> dict[str, Piece]:
    """Return every panel that stands, by id, under the light that the library chose."""
    view = default_view(manifest_of(store))
    return {
        panel.id: piece_of(panel, evidence, names, view)
        for panel in evidence.panels.values()
        if panel.withdrawn is None
    }


def piece_of(panel: Panel, evidence: Evidence, names: Names, view: View) -> Piece:
    """Return one panel as a piece, under one light."""
    bands = _bands(panel, colours_of(evidence.readings.get(panel.id, []), view))
    kind = "card" if panel.steps and any(band.name != panel.name for band in bands) else (panel.shape or "flat")
    return Piece(
        panel.id, panel.name, panel.recipe or "", names.label(panel.recipe) if panel.recipe else "",
        names.label(panel.ground.id) if panel.ground else "", _coats(panel), panel.stage.surface if panel.stage else "",
        panel.sprayed_at or panel.provenance.at, tuple(bands), kind,
    )  # fmt: skip


def _coats(panel: Panel) -> str:
    if panel.steps:
        return f"{len(panel.steps)} steps"
    return ", ".join(f"{one.count} coat{'' if one.count == '1' else 's'}" for one in panel.coats or [])


def _bands(panel: Panel, colours: Sequence[Colour]) -> list[Band]:
    """Return the bands to draw: steps in order of coats, else zones; of one stage and one grade only."""
    stage = panel.stage.surface if panel.stage else ""
    kept = [one for one in colours if one.seen]
    if not kept:
        return []
    kept.sort(key=lambda one: (one.spot.stage != stage, one.spot.grade != "spectrum", one.spot.stage, one.spot.grade))
    first = kept[0].spot
    alike = [one for one in kept if (one.spot.stage, one.spot.grade) == (first.stage, first.grade)]
    steps = panel.steps or {}
    stepped = sorted((one for one in alike if one.spot.step in steps), key=lambda one: steps[one.spot.step])
    whole = [one for one in alike if not one.spot.step]
    chosen = stepped or whole
    found = []
    for one in chosen or alike:
        place = one.spot.zone.replace("_", " ")
        if one.spot.step:
            count = steps.get(one.spot.step)
            place = f"{one.spot.step} coats" if count is None else _step_words(count)
        found.append(Band(place or panel.name, one.spot.said(), facets_of(one.seen.items()), len(one.readings)))
    return found


def _step_words(count: int) -> str:
    return "bare ground" if count == 0 else f"{count} coat{'' if count == 1 else 's'}"


def facets_of(seen: Iterable[tuple[str, SeenColour]]) -> tuple[Facet, ...]:
    """Return colours by geometry as facets, from face to flop; a geometry that is no such angle stands first."""
    return tuple(sorted((_facet(geometry, colour) for geometry, colour in seen), key=lambda one: one.away))


def _facet(geometry: str, seen: SeenColour) -> Facet:
    from sprayout_core.light import hexadecimal, srgb
    from sprayout_core.reading import angle

    try:
        told = angle(geometry)
        place, away = told.spoken, told.aspecular
    except SprayoutError:
        place, away = f"at {geometry}", -360.0
    screen = srgb(seen.lab, seen.view)
    lab = (float(seen.lab[0]), float(seen.lab[1]), float(seen.lab[2]))
    outside = "" if bool(screen.in_gamut) else "stronger than this screen can show"
    return Facet(geometry, place, away, str(hexadecimal(screen.rgb)), lab, outside)
