"""Ratios of two mixes side by side, and the panels worth spraying next."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError
from sprayout_library.film.knowing import Known, TrialMix, known, trial_mix
from sprayout_library.film.looks import Shade, chosen_grounds, chosen_view, notes_of, shade, trust_of, whose_film
from sprayout_library.film.words import counted_coats, counts_from_words

if TYPE_CHECKING:
    from sprayout_core.film import Ground, Trial, WorthSpraying
    from sprayout_library.record.names import Names
    from sprayout_library.store import Store

__all__ = ["RATIOS", "Ladder", "LadderRung", "Worth", "ladder", "ratios_from_words", "worth_spraying_next"]

RATIOS = "0:1,1:1,2:1,3:1,4:1,5:1,6:1"
_MOST = 12


@dataclass(frozen=True, slots=True)
class LadderRung:
    """One ratio, such as 2:1, with a shade for each count of coats.

    step   how its last shade differs from that of the rung before, in words; empty at the first
    """

    ratio: str
    shades: tuple[Shade, ...]
    step: str


@dataclass(frozen=True, slots=True)
class Ladder:
    """Ratios of a first mix to a second, by parts of equal solids, over one ground."""

    first: str
    second: str
    ground: str
    geometry: str
    view: str
    rungs: tuple[LadderRung, ...]
    notes: tuple[str, ...]
    trust: str

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "first": self.first,
            "second": self.second,
            "ground": self.ground,
            "geometry": self.geometry,
            "view": self.view,
            "rungs": [
                {"ratio": one.ratio, "step": one.step, "cells": [each.data() for each in one.shades]}
                for one in self.rungs
            ],
            "notes": list(self.notes),
            "trust": self.trust,
        }


@dataclass(frozen=True, slots=True)
class Worth:
    """A panel worth spraying: what to spray, and why.

    takes   share of what the grid does not know yet that it would take away, 0 to 1; None where nothing
            else can stand in for it
    taught  share of the grid's +- that panels can take away at all, 0 to 1; the rest is how evenly coats go on
    """

    panel: str
    reason: str
    takes: float | None
    taught: float | None = None

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "panel": self.panel,
            "reason": self.reason,
            "takes": None if self.takes is None else round(self.takes, 3),
            "taught": None if self.taught is None else round(self.taught, 3),
        }


def ratios_from_words(words: str) -> list[tuple[int, int]]:
    """Return ratios from "0:1,1:1,2:1". Raises SprayoutError for anything else."""
    found = []
    for part in words.split(","):
        match = re.fullmatch(r"\s*(\d{1,3})\s*:\s*(\d{1,3})\s*", part)
        if match is None or not int(match[1]) + int(match[2]):
            raise SprayoutError(f"{part.strip()!r} is no ratio", f"Write them as {RATIOS}.")
        found.append((int(match[1]), int(match[2])))
    found = list(dict.fromkeys(found))
    if len(found) > _MOST:
        raise SprayoutError(f"{len(found)} ratios side by side are too many", f"At most {_MOST}.")
    return found


def ladder(
    store: Store,
    names: Names,
    first: str,
    second: str,
    over: str,
    coats: str = "3",
    ratios: str = RATIOS,
    geometry: str | None = None,
    light: str | None = None,
) -> Ladder:
    """Return ratios of two mixes (names, lines, or dyes neat) side by side over a ground.

    Raises SprayoutError where nothing can be learned, a name is unknown, or words are not understood.
    """
    from sprayout_core.film import geometry_of, ratio_ladder

    knowledge = known(store)
    one, two = (trial_mix(store, names, knowledge, text) for text in (first, second))
    chosen = geometry_of(geometry or knowledge.geometries()[0]).name
    view = chosen_view(store, light)
    (ground,) = chosen_grounds(names, knowledge, [over], chosen)
    counts, wanted = counts_from_words(coats), ratios_from_words(ratios)
    found = ratio_ladder(
        knowledge.learned, one.shares, two.shares, ground, counts, [chosen], wanted, view, knowledge.shop
    )
    rungs: list[LadderRung] = []
    for rung in found:
        shades = tuple(shade(cell, view) for cell in rung.cells)
        step = _step(rungs[-1].shades[-1], shades[-1]) if rungs else ""
        rungs.append(LadderRung(f"{rung.first}:{rung.second}", shades, step))
    notes = notes_of((*one.notes, *two.notes, *whose_film(knowledge)), (each for rung in rungs for each in rung.shades))
    return Ladder(
        one.name,
        two.name,
        ground.name,
        chosen,
        str(view),
        tuple(rungs),
        tuple(dict.fromkeys(notes)),
        trust_of(knowledge),
    )


def _step(before: Shade, after: Shade) -> str:
    import numpy as np

    from sprayout_core.difference import ciede2000, words

    if before.lab is None or after.lab is None:
        return ""
    one, two = np.array(before.lab), np.array(after.lab)
    return f"{words(one, two)} (dE00 {float(ciede2000(one, two)):.1f})"


def worth_spraying_next(
    store: Store,
    names: Names,
    mix: str,
    over: Sequence[str] = (),
    coats: str = "1 to 6",
    geometry: str | None = None,
    light: str | None = None,
) -> tuple[Worth, ...]:
    """Return the one or two panels that would narrow the grid of a mix most, and why.

    What can be sprayed: the mix itself and each dye of it alone, in as much carrier, over the grid's own grounds.
    """
    from sprayout_core.film import Trial, geometry_of, predicted_grid, worth_spraying

    knowledge = known(store)
    trial = trial_mix(store, names, knowledge, mix)
    chosen = geometry_of(geometry or knowledge.geometries()[0]).name
    view = chosen_view(store, light)
    grounds = chosen_grounds(names, knowledge, over, chosen)
    counts = counts_from_words(coats)
    wanted = [Trial(ground, trial.shares, count, knowledge.shop) for ground in grounds for count in counts]
    named = list(_candidates(knowledge, trial, grounds))
    found = worth_spraying(knowledge.learned, wanted, [each for _, each in named], chosen, 2, view)
    cells = predicted_grid(knowledge.learned, trial.shares, grounds, counts, [chosen], view, knowledge.shop)
    whole = [one.expected**2 for row in cells for cell in row for one in cell.predictions]
    taught = [one.before for one in found if math.isfinite(one.before)]
    share = min(taught[0] / max(sum(whole) / len(whole), 1e-9), 1.0) if taught and whole else None
    return tuple(_told(one, named, share) for one in found)


def _candidates(knowledge: Known, trial: TrialMix, grounds: Sequence[Ground]) -> list[tuple[str, Trial]]:
    from sprayout_core.film import Trial

    colour = sum(trial.shares.values())
    mixes = [(trial.name, trial.shares)]
    if len(trial.shares) > 1:
        body = "neat" if colour > 0.999 else f"alone, {100 * colour:.0f} % of the film"
        mixes += [(f"{dye} {body}", {dye: colour}) for dye in trial.shares]
    return [
        (f"{counted_coats(count)} of {name} over {ground.name}", Trial(ground, shares, count, knowledge.shop))
        for name, shares in mixes
        for ground in grounds
        for count in (1.0, 2.0, 4.0)
    ]


def _told(one: WorthSpraying, named: Sequence[tuple[str, Trial]], taught: float | None) -> Worth:
    if one.trial is None or not math.isfinite(one.before):
        panel, _, why = one.reason.partition(":")
        return Worth(panel, f"{why.strip()}; nothing else can stand in for it", None)
    panel = next(name for name, each in named if each is one.trial)
    takes = max(1.0 - math.sqrt(one.after / one.before), 0.0) if one.before > 0 else 0.0
    return Worth(panel, f"takes away about {100 * takes:.0f} % of what panels can still teach here", takes, taught)
