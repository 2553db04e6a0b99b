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
    from sprayout_library.film.looks import Shade

__all__ = ["SMALL", "Card", "Foretold", "Step", "cards_of", "foretold_of"]

#: In a library of more panels predictions and histories are told only when they are asked for: both take a while.
SMALL = 300
_MOST_COATS = 8


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a card: what was measured, what is foretold; either may be missing."""

    words: str
    coats: int
    measured: Facet | None
    foretold: Shade | None


@dataclass(frozen=True, slots=True)
class Card:
    """The step card over one ground; without a panel all of it is foretold."""

    ground: str
    panel: str
    name: str
    steps: tuple[Step, ...]
    foretold: Mapping[int, Shade]

    @property
    def tones(self) -> dict[int, str]:
        """A colour for each number of coats: as measured, else as foretold; what nothing carries is left out."""
        found = {count: one.colour for count, one in self.foretold.items() if one.colour and not one.hatched}
        return found | {step.coats: step.measured.colour for step in self.steps if step.measured is not None}


@dataclass(slots=True)
class Foretold:
    """What was foretold of a recipe, by ground and coats; `because` says why nothing was, `asks` that it may be asked.

    forgiving  for each ground, in words, how much a heavier hand or one coat more shows
    """

    shades: dict[str, dict[int, Shade]] = field(default_factory=dict)
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
        _foretell(
            found,
            visit,
            next(iter(formulas)),
            grounds,
            sum(_coats_in(coat.count) for coat in coats),
            _stepped(recipe, visit),
        )
    except SprayoutError as error:
        found.because = error.fault.problem
    return found


def _foretell(
    found: Foretold, visit: Visit, formula: str, grounds: Sequence[str], wanted: int, stepped: Sequence[int]
) -> None:
    from sprayout_core.film import forgiveness, predicted_grid
    from sprayout_library.film.knowing import trial_mix
    from sprayout_library.film.looks import shade

    knowledge = visit.knowledge()
    trial = trial_mix(visit.store, visit.names, knowledge, visit.names.label(formula))
    found.geometry = knowledge.geometries()[0]
    view = visit.view
    counts = sorted({*range(1, min(max(wanted, 3) + 1, _MOST_COATS) + 1), *stepped})
    for identity in grounds:
        try:
            ground = knowledge.ground(identity, visit.names.label(identity))
        except SprayoutError as error:
            found.forgiving.append((visit.names.label(identity), error.fault.problem))
            continue
        (row,) = predicted_grid(
            knowledge.learned, trial.shares, [ground], counts, [found.geometry], view, knowledge.shop
        )
        found.shades[identity] = {int(cell.coats): shade(cell, view) for cell in row}
        if wanted and not any(cell.hatched for cell in row if cell.coats == wanted):
            try:
                (told,) = forgiveness(knowledge.learned, ground, trial.shares, [wanted], [found.geometry], view)
                found.forgiving.append((visit.names.label(identity), told.words))
            except SprayoutError as error:
                found.forgiving.append((visit.names.label(identity), error.fault.problem))


def cards_of(recipe: Recipe, visit: Visit, foretold: Foretold) -> list[Card]:
    """Return a step card for each ground of a recipe: the newest one measured, with what is foretold beside it."""
    found = []
    for identity in dict.fromkeys(one.id for one in (recipe.grounds or {}).values()):
        shades = foretold.shades.get(identity, {})
        card = _card(recipe, identity, visit, shades)
        if card is not None:
            found.append(card)
    return found


def _card(recipe: Recipe, ground: str, visit: Visit, shades: Mapping[int, Shade]) -> Card | None:
    name = visit.names.label(ground)
    stepped = [
        one.id
        for one in reversed(visit.panels_of(recipe))
        if one.steps and one.ground and one.ground.id == ground and not one.withdrawn
    ]
    for piece in visit.pieces(stepped[:8]).values():
        bands = [band for band in piece.bands if band.coats is not None]
        if len(bands) > 1:
            steps = [Step(band.name, band.coats or 0, band.facets[0], shades.get(band.coats or 0)) for band in bands]
            return Card(name, piece.id, piece.name, tuple(steps), shades)
    if not shades:
        return None
    steps = [Step(coat_words(count), count, None, one) for count, one in shades.items()]
    return Card(name, "", "", tuple(steps), shades)


def _coats_in(count: str) -> int:
    last = count.removeprefix("about ").rpartition(" ")[2]
    return int(last) if last.isdecimal() else 0


def _stepped(recipe: Recipe, visit: Visit) -> list[int]:
    """Return the numbers of coats that step cards of a recipe have, the bare ground left out."""
    counts = {count for one in visit.panels_of(recipe)[-_MOST_COATS:] for count in (one.steps or {}).values()}
    return sorted(count for count in counts if 0 < count <= 40)
