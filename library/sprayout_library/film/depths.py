"""Depth against coverage of a dye and a pearl: what more dye, or one coat more, buys and costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Material
from sprayout_core.errors import SprayoutError
from sprayout_library.film.knowing import Known, known
from sprayout_library.film.ladders import ratios_from_words
from sprayout_library.film.looks import chosen_grounds, chosen_view
from sprayout_library.film.words import counted_coats, counts_from_words

if TYPE_CHECKING:
    from sprayout_core.film import Ground
    from sprayout_library.record.names import Names
    from sprayout_library.store import Store

__all__ = ["COVERED", "RATIOS", "Depth", "DepthLine", "depth", "draw_depth"]

RATIOS = "1:8,1:4,1:2,1:1"
#: Contrast ratio at which a coat counts as covering, by convention.
COVERED = 0.98
_CARD = ("white", "black")


@dataclass(frozen=True, slots=True)
class DepthLine:
    """One ratio of dye to pearl, coat by coat.

    coverage   contrast ratio, Y over black / Y over white
    chroma     C* over the white: how deep the colour is
    colours    #rrggbb over the white
    covers_in  coats until it covers, None where the coats looked at do not
    """

    ratio: str
    coverage: tuple[float, ...]
    lightness: tuple[float, ...]
    chroma: tuple[float, ...]
    colours: tuple[str, ...]
    covers_in: float | None


@dataclass(frozen=True, slots=True)
class Depth:
    """Lines of several ratios, the least dye first as asked, and what they tell in words."""

    dye: str
    pearl: str
    white: str
    black: str
    geometry: str
    view: str
    coats: tuple[float, ...]
    lines: tuple[DepthLine, ...]
    notes: tuple[str, ...]

    @property
    def words(self) -> tuple[str, ...]:
        """What each ratio does, then what more dye buys and costs."""
        middle = len(self.coats) // 2
        at = counted_coats(self.coats[middle])
        said = [
            f"{one.ratio}  {at}: hides {100 * one.coverage[middle]:.0f} %, C* {one.chroma[middle]:.0f}; "
            + (f"covers in {one.covers_in:.1f} coats" if one.covers_in else f"{self.coats[-1]:g} coats do not cover")
            for one in self.lines
        ]
        if len(self.lines) > 1:
            first, last = self.lines[0], self.lines[-1]
            said.append(
                f"from {first.ratio} to {last.ratio} at {at}: C* {first.chroma[middle]:.0f} to "
                f"{last.chroma[middle]:.0f}, L* {first.lightness[middle]:.0f} to {last.lightness[middle]:.0f}, "
                f"hiding {100 * first.coverage[middle]:.0f} to {100 * last.coverage[middle]:.0f} %"
            )
        return tuple(said)

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "dye": self.dye,
            "pearl": self.pearl,
            "white": self.white,
            "black": self.black,
            "geometry": self.geometry,
            "view": self.view,
            "coats": list(self.coats),
            "lines": [
                {
                    "ratio": one.ratio,
                    "coverage": [round(value, 4) for value in one.coverage],
                    "lightness": [round(value, 2) for value in one.lightness],
                    "chroma": [round(value, 2) for value in one.chroma],
                    "covers_in": None if one.covers_in is None else round(one.covers_in, 2),
                }
                for one in self.lines
            ],
            "notes": list(self.notes),
        }


def depth(
    store: Store,
    names: Names,
    dye: str,
    pearl: str,
    ratios: str = RATIOS,
    coats: str = "1 to 8",
    over: Sequence[str] = (),
    geometry: str | None = None,
    light: str | None = None,
) -> Depth:
    """Return depth against coverage for parts of dye to parts of pearl, by parts of equal solids.

    over   a white and a black ground; where none are named, the two fields of the contrast card that was read

    Raises SprayoutError where nothing was learned of either, or no white and black were read.
    """
    from sprayout_core.film import depth_against_coverage, geometry_of
    from sprayout_core.light import hexadecimal, srgb

    knowledge = known(store)
    called = [_called(store, names, knowledge, dye), _called(store, names, knowledge, pearl)]
    if called[1] not in knowledge.learned.scattering_dyes:
        raise SprayoutError(
            f"{called[1]} was never seen to hide anything",
            "Name a dye, then a pearl. A pearl must have been sprayed and read over white and black.",
        )
    chosen = geometry_of(geometry or knowledge.geometries()[0]).name
    view = chosen_view(store, light)
    white, black = _white_and_black(names, knowledge, over, chosen)
    wanted, counts = ratios_from_words(ratios), counts_from_words(coats)
    found = depth_against_coverage(knowledge.learned, called[0], called[1], wanted, counts, white, black, chosen, view)
    screens = srgb(found.colour, view).rgb
    lines = tuple(
        DepthLine(
            f"{one:g}:{two:g}",
            tuple(float(value) for value in found.coverage[place]),
            tuple(float(value) for value in found.lightness[place]),
            tuple(float(value) for value in found.chroma[place]),
            tuple(str(hexadecimal(each)) for each in screens[place]),
            found.coats_to_hide[place],
        )
        for place, (one, two) in enumerate(found.ratios)
    )
    notes = ["parts of equal solids", *_beyond(knowledge, called, wanted, counts)]
    return Depth(called[0], called[1], white.name, black.name, chosen, str(view), found.coats, lines, tuple(notes))


def _called(store: Store, names: Names, knowledge: Known, text: str) -> str:
    material = store.get(names.find(text, "material").id)
    assert isinstance(material, Material)
    return knowledge.gathered.name(material)


def _white_and_black(names: Names, knowledge: Known, over: Sequence[str], geometry: str) -> tuple[Ground, Ground]:
    if over:
        if len(over) != 2:
            raise SprayoutError("a white and a black ground are needed", "Give --over twice.")
        chosen = chosen_grounds(names, knowledge, over, geometry)
        light, dark = sorted(chosen, key=lambda one: -float(one.reading(geometry).mean()))
        return light, dark
    pairs: dict[str, dict[str, Ground]] = {}
    for key, ground in knowledge.gathered.grounds.items():
        whose, stroke, zone = key.partition("/")
        if stroke and geometry in ground.readings:
            pairs.setdefault(whose, {})[zone.removeprefix("over_")] = ground
    whole = [key for key, pair in pairs.items() if set(_CARD) <= set(pair)]
    if not whole:
        raise SprayoutError(
            f"no white and black were read at {geometry}",
            "Spray the pearl on a contrast card (--zone over_white --zone over_black --steps 0,1,2,4) and read "
            "LABEL/0/over white and LABEL/0/over black too.",
        )
    cards = [key for key in whole if key in names.entries and names.entries[key].kind != "panel"]
    pair = pairs[(cards or whole)[0]]
    return pair["white"], pair["black"]


def _beyond(
    knowledge: Known, called: Sequence[str], ratios: Sequence[tuple[int, int]], counts: Sequence[float]
) -> list[str]:
    said = []
    for place, name in enumerate(called):
        most = float(knowledge.learned.most_film[knowledge.learned.row(name)])
        here = max(ratio[place] / sum(ratio) for ratio in ratios) * max(counts)
        if here > 1.05 * most:
            said.append(
                f"{name}: up to {here:.1f} neat coats' worth, the most ever read was {most:.1f}; an extrapolation"
            )
    return said


def draw_depth(found: Depth) -> str:
    """Return the picture: how far each coat covers, and how deep it is; the dots are coats in their own colour."""
    from sprayout_core.pictures import Marked, chart

    lines = [
        Marked(
            f"{one.ratio} {found.dye} : {found.pearl}",
            [100 * value for value in one.coverage],
            one.chroma,
            [f"{count:g}" for count in found.coats],
            one.colours,
        )
        for one in found.lines
    ]
    title = f"{found.dye} and {found.pearl}: depth against coverage, {found.geometry}, {found.view}"
    told = "; ".join(found.words)
    return chart(lines, "coverage, % (numbers: coats; dashed: covers)", "depth, C*", title, told, 100 * COVERED)
