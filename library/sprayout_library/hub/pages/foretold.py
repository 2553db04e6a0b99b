"""What a recipe is foretold to be, coat by coat over each ground, beside what was measured; how forgiving it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sprayout_core.documents import Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.pieces import Facet, coat_words
from sprayout_library.hub.pages.visit import Visit

if TYPE_CHECKING:
    from sprayout_core.film import Cell
    from sprayout_core.light import View

__all__ = ["GUESS", "Card", "Foretold", "Patch", "Step", "cards_of", "foretold_of", "patch_of"]

#: A wider interval than this, in units of the difference, says that nothing is known yet.
GUESS = 20.0
#: In a library of more panels a prediction is made only when it is asked for: learning from them takes a while.
SMALL = 300
_MOST_COATS = 8


@dataclass(frozen=True, slots=True)
class Patch:
    """A colour foretold: on a screen, in numbers, how far off it may be; or why nothing can be said."""

    coats: str
    colour: str = ""
    said: str = ""
    interval: str = ""
    hatched: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a card: what was measured, what is foretold; either may be missing."""

    words: str
    measured: Facet | None
    foretold: Patch | None


@dataclass(frozen=True, slots=True)
class Card:
    """The step card over one ground; without a panel all of it is foretold."""

    ground: str
    panel: str
    name: str
    steps: tuple[Step, ...]


@dataclass(slots=True)
class Foretold:
    """What was foretold of a recipe, by ground and coats; `because` says why nothing was, `asks` that it may be asked.

    forgiving  for each ground, in words, how much a heavier hand or one coat more shows
    """

    patches: dict[str, dict[int, Patch]] = field(default_factory=dict)
    forgiving: list[tuple[str, str]] = field(default_factory=list)
    because: str = ""
    asks: bool = False
    geometry: str = ""


def foretold_of(recipe: Recipe, visit: Visit) -> Foretold:
    """Return what a recipe of one mix is foretold to be over each of its grounds."""
    found = Foretold()
    coats = [coat for _, coat in recipe.coats_in_order()]
    formulas = {coat.formula for coat in coats}
    grounds = list(dict.fromkeys(one.id for one in (recipe.grounds or {}).values()))
    if len(formulas) != 1 or not grounds:
        found.because = "foretold are recipes of one mix over grounds that are named"
        return found
    if len(visit.hung) > SMALL and not visit.asked.said("foretell"):
        found.asks = True
        return found
    try:
        _foretell(found, visit, next(iter(formulas)), grounds, sum(_coats_in(coat.count) for coat in coats))
    except SprayoutError as error:
        found.because = error.fault.problem
    return found


def _foretell(found: Foretold, visit: Visit, formula: str, grounds: Sequence[str], wanted: int) -> None:
    from sprayout_core.film import forgiveness, predicted_grid
    from sprayout_library.film.knowing import trial_mix
    from sprayout_library.record.between import views_of

    knowledge = visit.knowledge()
    trial = trial_mix(visit.store, visit.names, knowledge, visit.names.label(formula))
    found.geometry = knowledge.geometries()[0]
    (view,) = views_of(visit.store, [])
    counts = list(range(1, min(max(wanted, 3) + 1, _MOST_COATS) + 1))
    for identity in grounds:
        try:
            ground = knowledge.ground(identity, visit.names.label(identity))
        except SprayoutError as error:
            found.forgiving.append((visit.names.label(identity), error.fault.problem))
            continue
        (row,) = predicted_grid(knowledge.learned, trial.shares, [ground], counts, [found.geometry], view)
        found.patches[identity] = {int(cell.coats): patch_of(cell, view) for cell in row}
        if wanted and not any(cell.hatched for cell in row if cell.coats == wanted):
            try:
                (told,) = forgiveness(knowledge.learned, ground, trial.shares, [wanted], [found.geometry], view)
                found.forgiving.append((visit.names.label(identity), told.words))
            except SprayoutError as error:
                found.forgiving.append((visit.names.label(identity), error.fault.problem))


def patch_of(cell: Cell, view: View) -> Patch:
    """Return one cell of a predicted grid as it is shown."""
    from sprayout_core.light import hexadecimal, srgb

    coats = f"{cell.coats:g}"
    if cell.hatched:
        return Patch(coats, hatched=cell.hatched)
    (one,) = cell.predictions
    lab = [float(value) for value in one.lab]
    known = f"± {one.interval:.1f}" if one.interval <= GUESS else "a guess"
    return Patch(coats, hexadecimal(srgb(one.lab, view).rgb), "L* {:.1f}, a* {:.1f}, b* {:.1f}".format(*lab), known)


def cards_of(recipe: Recipe, visit: Visit, foretold: Foretold) -> list[Card]:
    """Return a step card for each ground of a recipe: the newest one measured, with what is foretold beside it."""
    found = []
    for identity in dict.fromkeys(one.id for one in (recipe.grounds or {}).values()):
        patches = foretold.patches.get(identity, {})
        card = _card(recipe, identity, visit, patches)
        if card is not None:
            found.append(card)
    return found


def _card(recipe: Recipe, ground: str, visit: Visit, patches: Mapping[int, Patch]) -> Card | None:
    name = visit.names.label(ground)
    stepped = [
        one.id
        for one in reversed(visit.panels_of(recipe))
        if one.steps and one.ground and one.ground.id == ground and not one.withdrawn
    ]
    for piece in visit.pieces(stepped[:8]).values():
        bands = [band for band in piece.bands if band.coats is not None]
        if len(bands) > 1:
            steps = [Step(band.name, band.facets[0], patches.get(band.coats or 0)) for band in bands]
            return Card(name, piece.id, piece.name, tuple(steps))
    if not patches:
        return None
    return Card(name, "", "", tuple(Step(coat_words(count), None, patch) for count, patch in patches.items()))


def _coats_in(count: str) -> int:
    last = count.removeprefix("about ").rpartition(" ")[2]
    return int(last) if last.isdecimal() else 0
