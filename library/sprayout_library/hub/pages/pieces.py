"""Panels as the wall shows them: their measured colours at every angle, their steps, or that nobody measured them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.rack import Hung, Looked
from sprayout_library.hub.pages.told import coats_said
from sprayout_library.record import Names

if TYPE_CHECKING:
    from sprayout_core.light import View

__all__ = ["Band", "Facet", "Piece", "bands_of", "coat_words", "facets_of", "on_screen", "piece_of"]

Lab = tuple[float, float, float]
Screen = Mapping[Lab, tuple[str, str]]


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
    """One step of a step card, one zone, or the whole piece, with its angles from face to flop.

    coats  of a step, how many it has; None where it is no step
    """

    name: str
    facets: tuple[Facet, ...]
    coats: int | None = None

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


def on_screen(labs: Iterable[Lab], view: View) -> Screen:
    """Return the colour of each of some L*a*b* on a screen, and where the screen cannot show it, so in words."""
    from sprayout_core.light import hexadecimal, srgb

    asked = list(dict.fromkeys(labs))
    if not asked:
        return {}
    seen = srgb(asked, view)
    told = ("" if inside else "stronger than this screen can show" for inside in seen.in_gamut.tolist())
    return dict(zip(asked, zip(map(hexadecimal, seen.rgb), told, strict=True), strict=True))


def piece_of(panel: Hung, looked: Sequence[Looked], names: Names, view: View, screen: Screen | None = None) -> Piece:
    """Return one panel as a piece, by what was measured of it under one light.

    screen  the colours on a screen where those of many pieces were worked out together
    """
    bands = bands_of(panel, looked, view, screen)
    kind = "card" if panel.steps and any(band.name != panel.name for band in bands) else (panel.shape or "flat")
    return Piece(
        panel.id, panel.name, panel.recipe or "", names.label(panel.recipe) if panel.recipe else "",
        names.label(panel.ground.id) if panel.ground else "", _coats(panel), panel.stage.surface if panel.stage else "",
        panel.at, tuple(bands), kind,
    )  # fmt: skip


def _coats(panel: Hung) -> str:
    if panel.steps:
        return f"{len(panel.steps)} steps"
    return ", ".join(coats_said(one.count) for one in panel.coats or [])


def bands_of(panel: Hung, looked: Sequence[Looked], view: View, screen: Screen | None = None) -> list[Band]:
    """Return the bands to draw: steps in order of coats, else zones; of one stage and one grade only."""
    stage = panel.stage.surface if panel.stage else ""
    kept = [one for one in looked if one.labs]
    if not kept:
        return []
    kept.sort(key=lambda one: (one.stage != stage, one.grade != "spectrum", one.stage, one.grade, one.zone, one.step))
    first = kept[0]
    alike = [one for one in kept if (one.stage, one.grade) == (first.stage, first.grade)]
    steps = panel.steps or {}
    stepped = sorted((one for one in alike if one.step in steps), key=lambda one: steps[one.step])
    whole = [one for one in alike if not one.step]
    chosen = stepped or whole
    found = []
    for one in chosen or alike:
        place = one.zone.replace("_", " ")
        if one.step:
            count = steps.get(one.step)
            place = f"{one.step} coats" if count is None else coat_words(count)
        found.append(Band(place or panel.name, facets_of(one.labs, view, screen), steps.get(one.step)))
    return found


def coat_words(count: int) -> str:
    """Return a number of coats in words; of none, that the ground is bare."""
    return "bare ground" if count == 0 else f"{count} coat{'' if count == 1 else 's'}"


def facets_of(labs: Mapping[str, Lab], view: View, screen: Screen | None = None) -> tuple[Facet, ...]:
    """Return colours by geometry as facets, from face to flop; a geometry that is no such angle stands first."""
    known = on_screen(labs.values(), view) if screen is None else screen
    found = []
    for geometry, lab in labs.items():
        place, away = _place(geometry)
        colour, outside = known[lab]
        found.append(Facet(geometry, place, away, colour, lab, outside))
    return tuple(sorted(found, key=lambda one: one.away))


@cache
def _place(geometry: str) -> tuple[str, float]:
    from sprayout_core.reading import angle

    try:
        told = angle(geometry)
    except SprayoutError:
        return f"at {geometry}", -360.0
    return told.spoken, told.aspecular
