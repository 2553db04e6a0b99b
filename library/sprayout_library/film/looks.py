"""Predicted colours as plain results: what commands print and pages show, with their words and their doubts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError
from sprayout_library.film.knowing import Known, known, trial_mix
from sprayout_library.film.words import counted_coats, counts_from_words

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.film import Cell, Ground, Prediction
    from sprayout_core.light import View
    from sprayout_library.record.names import Names
    from sprayout_library.store import Store

    Array = npt.NDArray[np.float64]

__all__ = [
    "UNKNOWN",
    "Look",
    "Shade",
    "chosen_grounds",
    "chosen_view",
    "look",
    "notes_of",
    "shade",
    "trust_of",
    "whose_film",
]

#: An interval wider than this, dE00, says that nothing is known.
UNKNOWN = 20.0


@dataclass(frozen=True, slots=True)
class Shade:
    """One predicted colour over one ground in so many coats; without a colour it rests on nothing.

    said      the colour in words
    colour    #rrggbb for a screen; in_gamut says whether a screen can show it
    ends      the two colours of a screen between which it will lie, 95 times in 100
    lab       L* a* b* in the view of the look
    interval  dE00 that holds a sprayed panel 95 times in 100
    rests_on  how many panels taught each dye
    hatched   why it rests on nothing, and what to spray; empty where it rests on panels
    """

    ground: str
    coats: float
    said: str = ""
    colour: str = ""
    in_gamut: bool = True
    ends: tuple[str, str] | None = None
    lab: tuple[float, float, float] | None = None
    interval: float | None = None
    rests_on: Mapping[str, int] = field(default_factory=dict)
    hatched: str = ""
    notes: tuple[str, ...] = ()

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        facts = asdict(self)
        facts["lab"] = [round(value, 3) for value in self.lab] if self.lab else None
        facts["interval"] = None if self.interval is None else round(self.interval, 3)
        return facts


@dataclass(frozen=True, slots=True)
class Look:
    """The predicted grid of one mix: rows of shades, one row for each ground.

    notes     what was assumed, and where it reaches beyond what was read
    trust     how far off left-out panels were
    suspects  panels that do not fit the others
    """

    name: str
    geometry: str
    view: str
    rows: tuple[tuple[Shade, ...], ...]
    notes: tuple[str, ...]
    trust: str
    suspects: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "mix": self.name,
            "geometry": self.geometry,
            "view": self.view,
            "cells": [one.data() for row in self.rows for one in row],
            "notes": list(self.notes),
            "trust": self.trust,
            "suspects": list(self.suspects),
        }


def look(
    store: Store,
    names: Names,
    mix: str,
    over: Sequence[str] = (),
    coats: str = "1 to 6",
    geometry: str | None = None,
    light: str | None = None,
) -> Look:
    """Return the predicted grid of a mix (a name, or a line) over grounds and coats.

    over      names of grounds; every one that has a reading where none is named
    coats     "1,2,4" or "1 to 6"
    geometry  the one most panels were read in where none is named
    light     another light than the library's

    Raises SprayoutError where nothing can be learned, a name is unknown, or words are not understood.
    """
    from sprayout_core.film import geometry_of, predicted_grid

    knowledge = known(store)
    trial = trial_mix(store, names, knowledge, mix)
    chosen = geometry_of(geometry or knowledge.geometries()[0]).name
    view = chosen_view(store, light)
    grounds = chosen_grounds(names, knowledge, over, chosen)
    counts = counts_from_words(coats)
    cells = predicted_grid(knowledge.learned, trial.shares, grounds, counts, [chosen], view, knowledge.shop)
    unread = () if over else _unread(names, knowledge, chosen)
    rows = tuple(tuple(shade(cell, view) for cell in row) for row in cells)
    return Look(
        trial.name,
        chosen,
        str(view),
        rows,
        notes_of((*trial.notes, *whose_film(knowledge), *unread), (one for row in rows for one in row)),
        trust_of(knowledge),
        tuple(f"{one.panel} fits badly: {one.reason}" for one in knowledge.learned.suspects),
    )


def chosen_view(store: Store, light: str | None) -> View:
    """Return the view of a light by its name, or the library's own. Raises UnknownLightError."""
    from sprayout_library.record.between import views_of

    return views_of(store, [light] if light else [])[0]


def chosen_grounds(names: Names, knowledge: Known, over: Sequence[str], geometry: str) -> list[Ground]:
    """Return grounds by their names, or every one that was read in a geometry where none is named.

    Zones of a printed card are "white of NAME" and "black of NAME". Raises NotKnown, SprayoutError.
    """
    found = knowledge.gathered.grounds
    if not over:
        read = [one for one in _of_the_shop(names, knowledge) if geometry in one.readings]
        if not read:
            had = ", ".join(dict.fromkeys(at for one in found.values() for at in one.readings)) or "no geometry yet"
            raise SprayoutError(
                f"no ground was read at {geometry}", f"They were read at {had}. Measure a piece of one without coats."
            )
        return read
    by_name = {" ".join(one.name.casefold().split()): one for one in found.values()}
    grounds = []
    for text in over:
        zone = by_name.get(" ".join(text.casefold().split()))
        if zone is None:
            entry = names.find(text, "material", "formula")
            zone = knowledge.ground(entry.id, entry.name)
        grounds.append(zone)
    return grounds


def _of_the_shop(names: Names, knowledge: Known) -> list[Ground]:
    """Return every ground with a reading; the zones of one single panel are no ground of the shop's."""
    found = knowledge.gathered.grounds
    own = [key for key in found if key in names.entries]
    # a printed card serves many panels
    return [found[key] for key in (*own, *(key for key in found if _on_a_card(key, names)))]


def _unread(names: Names, knowledge: Known, geometry: str) -> tuple[str, ...]:
    """Return which grounds are missing, since they were read in other geometries only."""
    missing = [one.name for one in _of_the_shop(names, knowledge) if geometry not in one.readings]
    return (f"not read at {geometry}, so not here: {', '.join(missing)}",) if missing else ()


def _on_a_card(key: str, names: Names) -> bool:
    identity, stroke, _ = key.partition("/")
    entry = names.entries.get(identity)
    return bool(stroke) and entry is not None and entry.kind != "panel"


def shade(cell: Cell, view: View) -> Shade:
    """Return a cell of core as a plain result."""
    from sprayout_core.difference import tone
    from sprayout_core.light import hexadecimal, srgb

    if not cell.predictions:
        return Shade(cell.ground, cell.coats, hatched=cell.hatched)
    (one,) = cell.predictions
    screen = srgb(one.lab, view)
    needed = [note for note in one.notes if "spray" in note]
    hatched = "; ".join(needed) or cell.hatched if cell.hatched else ""
    if not hatched and one.interval > UNKNOWN:
        hatched = f"so unsure (+- {one.interval:.0f}) that it says nothing: spray this panel"
    lightness, redness, yellowness = (float(value) for value in one.lab)
    return Shade(
        cell.ground,
        cell.coats,
        tone(one.lab),
        str(hexadecimal(screen.rgb)),
        bool(screen.in_gamut),
        _ends(one, view),
        (lightness, redness, yellowness),
        float(one.interval),
        dict(one.rests_on),
        hatched,
        tuple(note for note in one.notes if note not in needed),
    )


def _ends(one: Prediction, view: View) -> tuple[str, str]:
    """Return the screen colours at both ends of the interval, along the way the colour is least sure."""
    import numpy as np

    from sprayout_core.difference import ciede2000
    from sprayout_core.light import hexadecimal, srgb

    way = np.linalg.eigh(one.covariance)[1][:, -1]
    way = way * (1.0 if way[0] >= 0 else -1.0)
    step = 0.1 * way
    reach = one.interval / max(float(ciede2000(one.lab, one.lab + step)), 1e-9)
    low, high = (str(hexadecimal(srgb(one.lab + sign * reach * step, view).rgb)) for sign in (-1.0, 1.0))
    return low, high


def notes_of(assumed: Iterable[str], shades: Iterable[Shade]) -> tuple[str, ...]:
    """Return each note once; what reaches beyond all readings is told by the coats where it begins."""
    told = dict.fromkeys(assumed)
    beyond: dict[str, float] = {}
    for one in shades:
        for note in one.notes:
            if note.endswith("an extrapolation"):
                dye = note.partition(":")[0]
                beyond[dye] = min(one.coats, beyond.get(dye, one.coats))
            else:
                told.setdefault(note)
    for dye, coats in beyond.items():
        told.setdefault(f"from {counted_coats(coats)} on there is more {dye} than was ever read: an extrapolation")
    return tuple(told)


def whose_film(knowledge: Known) -> tuple[str, ...]:
    """Return what is assumed of the asking shop's film, and of panels that were read before their clear."""
    told = []
    if knowledge.shop not in knowledge.learned.film:
        told.append(
            "no panel of this shop was read: its coats may lay a fifth more or less film, and +- is as wide as that"
        )
    if bare := sorted(knowledge.gathered.bare):
        first = f"{len(bare)} panels were" if len(bare) > 1 else f"{bare[0]} was"
        told.append(f"{first} read before any clear: taken as if cleared, as a glossy dye coat reads")
    return tuple(told)


def trust_of(knowledge: Known) -> str:
    """Return how far off left-out panels were, in words; empty where none could be left out."""
    accuracy = knowledge.learned.accuracy
    if accuracy is None:
        return ""
    return f"{accuracy.panels} panels left out in turn were missed by {accuracy.mean:.1f} on average"
