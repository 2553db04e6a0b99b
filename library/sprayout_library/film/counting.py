"""How many coats is this? A piece, or a typed colour, laid beside a step card, or beside what was learned."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_core.documents import Panel, Piece, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.film.laid_beside import LEAST_STEPS, Counted, Laid, Wishes, beside_card, beside_learned
from sprayout_library.film.reading_of import METERS, Seen, coats_counted, seen_of
from sprayout_library.record.about import evidence_of_panels
from sprayout_library.record.evidence import Evidence, evidence_for
from sprayout_library.record.measured import in_force
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_from_words, piece_name
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.light import View

__all__ = ["Counted", "coats_wanted", "count_coats", "same_mix", "step_cards_for", "typed_coats"]


def count_coats(
    store: Store,
    names: Names,
    words: str,
    card: str | None = None,
    laid: float | None = None,
    wanted: float | None = None,
    geometry: str | None = None,
) -> Counted:
    """Return how many coats a piece ("KF-4", "KF-2/5") comes to, and what one more would do.

    card      a step card's name; by default the newest of the same mix over the same ground, else what was learned
    laid      coats this shop laid; by default those counted on the piece
    wanted    coats of the standard; by default those of the recipe's standard, else those it writes
    geometry  only this one; by default all that both were read in

    Readings are compared within one grade and one stage. Raises SprayoutError with what to measure or to spray.
    """
    view = _view(store)
    piece = piece_from_words(words, names, store)
    words = piece_name(piece, names)
    evidence = _evidence(store, names, piece.panel, card)
    panel = evidence.panels[piece.panel]
    here = [one for one in _seen(evidence, piece.panel, view) if (one.zone, one.step) == _spot(piece)]
    if not here:
        raise SprayoutError(f"{words} was not measured", "Take its readings in: sprayout import FILE.csv")
    asked = [Laid(words, one.grade, one.stage, one.spectra, one.colours, one.doubt) for one in here]
    wishes = Wishes(view, laid or coats_counted(panel, piece), wanted or coats_wanted(store, panel), geometry)
    chosen = _card(evidence, names, panel, card)
    if chosen is None:
        return beside_learned(store, panel, piece.zone or "", asked, wishes)
    notes = []
    if not same_mix(chosen, panel):
        notes.append(f"{chosen.name} was sprayed from another mix, or another version of it: its coats are not yours")
        wishes = Wishes(view, None, None, geometry)
    elif _ground(chosen) != _ground(panel):
        notes.append(f"{chosen.name} lies over another ground: its coats are not yours")
    steps = [one for one in _seen(evidence, chosen.id, view) if one.zone == (piece.zone or "")]
    return beside_card(asked, chosen, steps, wishes, notes)


def typed_coats(
    store: Store,
    names: Names,
    lab: tuple[float, float, float],
    card: str,
    laid: float | None = None,
    wanted: float | None = None,
    geometry: str | None = None,
) -> Counted:
    """Return the same for a colour typed from a meter's display, in the library's light, beside a named card."""
    import numpy as np

    view = _view(store)
    identity = names.find(card, "panel").id
    evidence = _evidence(store, names, identity, card)
    chosen = evidence.panels[identity]
    steps = [one for one in _seen(evidence, chosen.id, view) if one.step and one.grade in METERS]
    at = geometry or next((name for one in steps for name in one.colours), "")
    stages = dict.fromkeys(one.stage for one in steps if one.step != "0")
    asked = [Laid("what you typed", "typed", stage, {}, {at: np.array(lab)}, 0.0) for stage in stages]
    wishes = Wishes(view, laid, wanted or coats_wanted(store, chosen), geometry)
    return beside_card(asked, chosen, [one for one in steps if not one.zone], wishes, [])


def coats_wanted(store: Store, panel: Panel) -> float | None:
    """Return the coats of the standard of a panel's recipe over its ground, else those the recipe writes."""
    recipe = store.get(panel.recipe) if panel.recipe else None
    if not isinstance(recipe, Recipe):
        return None
    standard = (recipe.standards or {}).get(_ground(panel))
    if standard is not None:
        held = store.find(standard.panel)
        piece = Piece(panel=standard.panel, step=standard.step, zone=standard.zone)
        if isinstance(held, Panel) and (counted := coats_counted(held, piece)):
            return counted
    counts = [coat.count for _, coat in recipe.coats_in_order()]
    return float(sum(int(one) for one in counts)) if counts and all(one.isdigit() for one in counts) else None


def same_mix(one: Panel, other: Panel) -> bool:
    """Say whether two panels were sprayed from the same versions of the same mixes."""
    sprayed = [{coat.formula for coat in panel.coats or []} for panel in (one, other)]
    if sprayed[0] != sprayed[1]:
        return False
    if one.poured and other.poured:
        return one.poured == other.poured
    return all((one.proofs or {}).get(key) == (other.proofs or {}).get(key) for key in sprayed[0])


def step_cards_for(evidence: Evidence, panel: Panel) -> list[Panel]:
    """Return the measured step cards of a panel's mix over its ground, the newest first."""
    found = [
        one
        for one in _cards_of(evidence, panel)
        if len({reading.step for reading in in_force(evidence.readings.get(one.id, [])) if reading.step}) >= LEAST_STEPS
    ]
    return sorted(found, key=lambda one: (one.sprayed_at or "", one.id), reverse=True)


def _evidence(store: Store, names: Names, panel: str, card: str | None) -> Evidence:
    """Return every panel, and the readings of one and of the step cards that it may be laid beside."""
    found = evidence_for(store, "panel")
    held = found.panels[panel]
    cards = {names.find(card, "panel").id} if card else {one.id for one in _cards_of(found, held)}
    return Evidence(found.panels, evidence_of_panels(store, {panel, *cards}, "reading").readings)


def _cards_of(evidence: Evidence, panel: Panel) -> list[Panel]:
    return [
        one
        for one in evidence.panels.values()
        if one.withdrawn is None and one.steps and _ground(one) == _ground(panel) and same_mix(one, panel)
    ]


def _view(store: Store) -> View:
    from sprayout_library.record.between import views_of

    return views_of(store, [])[0]


def _ground(panel: Panel) -> str:
    return panel.ground.id if panel.ground else ""


def _spot(piece: Piece) -> tuple[str, str]:
    return piece.zone or "", piece.step or ""


def _seen(evidence: Evidence, panel: str, view: View) -> list[Seen]:
    return seen_of(evidence.readings.get(panel, []), view)


def _card(evidence: Evidence, names: Names, panel: Panel, card: str | None) -> Panel | None:
    if card is not None:
        return evidence.panels[names.find(card, "panel").id]
    return next(iter(step_cards_for(evidence, panel)), None)
