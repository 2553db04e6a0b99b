"""The two sides of a comparison, and what was measured between them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sprayout_core.documents import (
    Document,
    Formula,
    MissingVariant,
    OpenQuestion,
    Panel,
    Recipe,
    proofs,
    recipe_proof,
)
from sprayout_core.errors import SprayoutError
from sprayout_library.record.evidence import Evidence, evidence_for
from sprayout_library.record.measured import Colour, colours_of, default_view
from sprayout_library.record.names import Names
from sprayout_library.record.versions import at_version, told_versions, version_of
from sprayout_library.store import Store

__all__ = ["ColourBetween", "Side", "colour_between", "sides_of"]


@dataclass(frozen=True, slots=True)
class Side:
    """One side: what it is called, the document as it stood, and the panels that show it."""

    name: str
    document: Document


@dataclass(slots=True)
class ColourBetween:
    """What was measured between two sides, in words first; `numbers` and `table` hold the same in figures."""

    lines: list[str] = field(default_factory=list)
    table: list[tuple[str, ...]] = field(default_factory=list)
    numbers: list[dict[str, Any]] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)


def sides_of(store: Store, names: Names, one: str, other: str | None) -> tuple[Side, Side]:
    """Return the two sides that a command names; with one name, its last two versions.

    Raises SprayoutError where there is nothing to compare with.
    """
    if other is None:
        name, number = at_version(one)
        entry = names.find(name)
        versions = told_versions(store, entry.id, names.label)
        if number is None and len(versions) < 2:
            raise SprayoutError(f"{entry.name} has one version only", "Name a second thing to compare it with.")
        last = versions[-1] if number is None else version_of(store, entry.id, number, names.label)
        first = versions[-2] if number is None else versions[-1]
        pair = sorted((first, last), key=lambda version: version.number)
        return tuple(Side(f"{entry.name}, version {version.number}", version.document) for version in pair)  # type: ignore[return-value]
    return _side(store, names, one), _side(store, names, other)


def _side(store: Store, names: Names, text: str) -> Side:
    name, number = (text, None) if names.matching(text) else at_version(text)
    entry = names.find(name)
    if number is not None:
        return Side(f"{entry.name}, version {number}", version_of(store, entry.id, number, names.label).document)
    document = store.get(entry.id)
    assert document is not None
    return Side(entry.name, document)


def colour_between(store: Store, before: Side, after: Side, light: str | None = None) -> ColourBetween:
    """Return the measured difference between two sides, spot by spot and geometry by geometry.

    A formula or a recipe is seen through the panels that prove exactly that version, over the same ground.
    """
    evidence = evidence_for(store)
    found = ColourBetween()
    pairs = _panel_pairs(store, evidence, before.document, after.document)
    if not pairs:
        found.lines.append("unknown: no two panels show these over the same ground")
        return found
    view = _view(store, light)
    for standard, trial in pairs:
        _compare_panels(evidence, standard, trial, view, found)
    if not found.table and not found.lines:
        found.lines.append("unknown: the panels have no readings of the same stage and geometry")
    return found


def _view(store: Store, light: str | None) -> Any:
    from sprayout_core.light import named_view

    if light is not None:
        return named_view(light)
    return default_view(next(iter(store.documents("library")), None))  # type: ignore[arg-type]


def _panel_pairs(store: Store, evidence: Evidence, before: Document, after: Document) -> list[tuple[Panel, Panel]]:
    if isinstance(before, Panel) and isinstance(after, Panel):
        return [(before, after)]
    standards, trials = _proving(store, evidence, before), _proving(store, evidence, after)
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


def _pins(formula: Formula, panel: Panel, store: Store) -> bool:
    variants = {coat.spray_ready for coat in panel.coats or [] if coat.formula == formula.id} or {None}
    for variant in variants:
        try:
            if (panel.proofs or {}).get(formula.id) == proofs(formula, store.find, variant)[formula.id]:
                return True
        except MissingVariant:
            continue
    return False


def _compare_panels(evidence: Evidence, standard: Panel, trial: Panel, view: Any, found: ColourBetween) -> None:
    ours = colours_of(evidence.readings.get(standard.id, []), view)
    theirs = colours_of(evidence.readings.get(trial.id, []), view)
    said = f"{trial.name} against {standard.name}"
    matched = False
    for one in ours:
        for other in theirs:
            same_place = (one.spot.zone, one.spot.step) == (other.spot.zone, other.spot.step)
            if not same_place or one.spot.grade != other.spot.grade:
                continue
            if one.spot.stage != other.spot.stage:
                found.cautions.append(
                    f"{standard.name} was measured {one.spot.stage}, {trial.name} {other.spot.stage}: not compared"
                )
                continue
            matched |= _compare_spots(said, one, other, found)
    if not matched:
        found.lines.append(f"{said}: unknown, no readings of the same stage and geometry")


def _compare_spots(said: str, standard: Colour, trial: Colour, found: ColourBetween) -> bool:
    from sprayout_core.difference import ciede2000, components, words
    from sprayout_core.light import comparable

    shared = sorted(set(standard.seen) & set(trial.seen))
    for geometry in shared:
        ours, theirs = standard.seen[geometry], trial.seen[geometry]
        comparable(ours, theirs)
        difference = float(ciede2000(ours.lab, theirs.lab))
        apart = components(ours.lab, theirs.lab)
        direction = str(words(ours.lab, theirs.lab))
        place = _place(geometry)
        spot = f", {standard.spot.said()}" if standard.spot.step or standard.spot.zone else ""
        found.lines.append(f"{said}{spot}: {direction} {place}")
        figures = {
            "dE00": difference,
            "dL*": float(apart.lightness),
            "dC*": float(apart.chroma),
            "dH*": float(apart.hue),
        }
        told = [f"{name} {value:.2f}" if name == "dE00" else f"{name} {value:+.2f}" for name, value in figures.items()]
        found.table.append((said + spot, geometry, str(ours.view), *told))
        found.numbers.append(
            {
                "of": said,
                "spot": standard.spot.said(),
                "geometry": geometry,
                "view": str(ours.view),
                "stage": standard.spot.stage,
                "grade": standard.spot.grade,
                "words": direction,
                "formula": "ciede2000",
                **{name: round(value, 4) for name, value in figures.items()},
                "standard": [round(float(value), 4) for value in ours.lab],
                "trial": [round(float(value), 4) for value in theirs.lab],
            }
        )
    return bool(shared)


def _place(geometry: str) -> str:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.reading import angle

    try:
        return str(angle(geometry).spoken)
    except SprayoutError:
        return f"at {geometry}"
