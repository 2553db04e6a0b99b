"""The two sides of a comparison, and what was measured between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sprayout_core.documents import (
    Document,
    Formula,
    MissingVariant,
    OpenQuestion,
    Panel,
    Piece,
    Recipe,
    proofs,
    recipe_proof,
)
from sprayout_core.errors import SprayoutError
from sprayout_library.record.between import Between, compare_panels, views_of
from sprayout_library.record.evidence import Evidence, evidence_for
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_from_words, piece_name
from sprayout_library.record.versions import ToldVersion, at_moment, told_versions, version_named
from sprayout_library.store import Store

__all__ = ["SAME_PIECES", "Side", "colour_between", "sides_of", "with_panels"]

#: What is said of two versions that the very same panels show.
SAME_PIECES = "no difference: the same pieces show both, nothing that decides the colour was changed"
#: Pairs told of which none was read alike.
_FEW = 3


@dataclass(frozen=True, slots=True)
class Side:
    """One side: what it is called, the document as it stood, and of a panel the one spot that is meant."""

    name: str
    document: Document
    at: Piece | None = None


def sides_of(store: Store, names: Names, one: str, other: str | None) -> tuple[Side, Side]:
    """Return the two sides that a command names; with one name, its last two versions.

    Raises SprayoutError where there is nothing to compare with.
    """
    if days := [text for text in (one, other or "") if text.startswith("@")]:
        raise SprayoutError(
            f"{days[0]} names no thing", f"For the whole library: sprayout history --since {days[0][1:] or 'DAY'}"
        )
    if other is None:
        name, word = (one, None) if names.matching(one) else at_moment(one)
        if _is_place(name, names):
            piece = piece_from_words(name, names, store)
            return _standard_of(store, names, piece.panel), _side(store, names, name)
        entry = names.find(name)
        if entry.kind == "panel":
            return _standard_of(store, names, entry.id), _side(store, names, one)
        versions = told_versions(store, entry.id, names.label)
        if word is None and len(versions) < 2:
            raise SprayoutError(f"{entry.name} has one version only", "Name a second thing to compare it with.")
        last = versions[-1] if word is None else version_named(store, entry.id, word, names.label)
        first = versions[-2] if word is None else versions[-1]
        pair = sorted((first, last), key=lambda version: version.number)
        return tuple(Side(f"{entry.name}, version {version.number}", version.document) for version in pair)  # type: ignore[return-value]
    return _side(store, names, one), _side(store, names, other)


def _standard_of(store: Store, names: Names, panel_id: str) -> Side:
    """Return the standard that a panel is held against. Raises SprayoutError where its recipe has none here."""
    panel = store.get(panel_id)
    assert isinstance(panel, Panel)
    recipe = store.get(panel.recipe) if panel.recipe else None
    ground = panel.ground.id if panel.ground else ""
    chosen = (recipe.standards or {}).get(ground) if isinstance(recipe, Recipe) else None
    if chosen is None or chosen.panel == panel_id:
        raise SprayoutError(
            f"there is no other standard over this ground for {panel.name}",
            "Name a second panel, or choose a standard: sprayout standard RECIPE PANEL",
        )
    standard = store.get(chosen.panel)
    if standard is None:
        raise SprayoutError("the standard is not here", "Ask for it with a sync or a packet.", place=chosen.panel)
    at = Piece(panel=chosen.panel, step=chosen.step, zone=chosen.zone)
    return Side(f"{piece_name(at, names)} (standard)", standard, at)


def _is_place(name: str, names: Names) -> bool:
    """Return whether a name says a step or zone of a panel: KF-2/5."""
    return "/" in name and not names.matching(name) and bool(names.matching(name.split("/")[0].strip(), "panel"))


def _side(store: Store, names: Names, text: str) -> Side:
    name, word = (text, None) if names.matching(text) else at_moment(text)
    if word is None and _is_place(name, names):
        at = piece_from_words(name, names, store)
        panel = store.get(at.panel)
        assert panel is not None
        return Side(piece_name(at, names), panel, at)
    entry = names.find(name)
    if word is not None:
        version = version_named(store, entry.id, word, names.label)
        return Side(f"{entry.name}, version {version.number}", version.document)
    document = store.get(entry.id)
    assert document is not None
    return Side(entry.name, document)


def colour_between(
    store: Store,
    before: Side,
    after: Side,
    lights: Sequence[str] = (),
    formula: str | None = None,
    evidence: Evidence | None = None,
) -> Between:
    """Return the measured difference between two sides, spot by spot and geometry by geometry, in each light.

    A formula or a recipe is seen through the panels that prove exactly that version, over the same ground.
    `evidence` is at least that of both sides; all of the library is gathered where it is not given.
    """
    evidence = evidence or evidence_for(store)
    views = views_of(store, lights)
    found = Between()
    pairs = _panel_pairs(store, evidence, before.document, after.document)
    if pairs is None:
        found.lines.append(SAME_PIECES)
        return found
    each = [compare_panels(store, evidence, *pair, views, formula, (before.at, after.at)) for pair in pairs]
    # Of many pairs those that were never read alike say nothing beside those that were.
    for one in [one for one in each if one.numbers] or each[:_FEW]:
        for name in ("lines", "table", "numbers", "cautions", "swatches"):
            getattr(found, name).extend(getattr(one, name))
    if not found.lines:
        found.lines.append("unknown: no two panels show these over the same ground")
    return found


def _panel_pairs(
    store: Store, evidence: Evidence, before: Document, after: Document
) -> list[tuple[Panel, Panel]] | None:
    """Return the pairs of panels that two sides are seen through; None where the very same panels show both."""
    if isinstance(before, Panel) and isinstance(after, Panel):
        return [(before, after)]
    standards, trials = _proving(store, evidence, before), _proving(store, evidence, after)
    if standards and [one.id for one in standards] == [one.id for one in trials]:
        return None
    return [
        (standard, trial)
        for standard in standards
        for trial in trials
        if standard.id != trial.id and standard.ground == trial.ground and _coats(standard) == _coats(trial)
    ]


def _coats(panel: Panel) -> list[str]:
    return [coat.count for coat in panel.coats or []]


def _proving(store: Store, evidence: Evidence, document: Document) -> list[Panel]:
    """Return the panels that pinned exactly this state of a formula, or of a recipe."""
    found = []
    for panel in evidence.panels_of(document):
        try:
            if (isinstance(document, Recipe) and panel.recipe_proof == recipe_proof(document)) or (
                isinstance(document, Formula) and _pins(document, panel, store)
            ):
                found.append(panel)
        except OpenQuestion:
            continue
    return found


def with_panels(store: Store, versions: Sequence[ToldVersion]) -> list[ToldVersion]:
    """Return the versions of a formula or recipe with the panels that were sprayed of exactly each."""
    evidence = evidence_for(store, "panel")
    return [
        replace(one, panels=tuple(panel.id for panel in _proving(store, evidence, one.document))) for one in versions
    ]


def _pins(formula: Formula, panel: Panel, store: Store) -> bool:
    variants = {coat.spray_ready for coat in panel.coats or [] if coat.formula == formula.id} or {None}
    for variant in variants:
        try:
            if (panel.proofs or {}).get(formula.id) == proofs(formula, store.find, variant)[formula.id]:
                return True
        except MissingVariant:
            continue
    return False
