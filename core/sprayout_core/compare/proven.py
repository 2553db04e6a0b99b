"""Sprayed, changed since it was sprayed, or never sprayed: derived from what panels pin, never typed in."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

from sprayout_core.documents import (
    BrokenMix,
    Find,
    MissingDocument,
    MissingVariant,
    OpenQuestion,
    proof,
    proofs,
    recipe_proof,
    tree,
    with_value,
)
from sprayout_core.documents.which import is_formula
from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.documents import Formula, Panel, Recipe

__all__ = ["Sprayed", "Status", "recipe_status", "status"]


class Sprayed(Enum):
    """What the panels say of a formula or a recipe as it stands now."""

    SPRAYED = "sprayed"
    CHANGED = "changed since it was sprayed"
    NEVER = "never sprayed"
    OPEN = "two answers"
    UNKNOWN = "not known: a part of it is not here"


@dataclass(frozen=True, slots=True)
class Status:
    """A status with the panels behind it.

    panels      ids of panels that prove exactly what stands now
    earlier     ids of panels that prove an earlier state
    answers     while copies disagree: the status of each live answer, by dot
    grounds     of a recipe: the status over each ground, by its id
    because     what hinders, in words
    """

    state: Sprayed
    panels: tuple[str, ...] = ()
    earlier: tuple[str, ...] = ()
    answers: dict[str, Status] = field(default_factory=dict)
    grounds: dict[str, Status] = field(default_factory=dict)
    because: str = ""


def status(formula: Formula, panels: Iterable[Panel], find: Find) -> Status:
    """Return whether this formula, as it stands with all it contains, was sprayed.

    A panel proves it when the proofs the panel pinned are those of the formula, and of every formula reached
    through it, as they stand now, through the spray-ready variant that the panel names. Withdrawn and
    superseded panels prove nothing. While copies disagree on the mix, each answer has a status of its own.
    """
    about = [panel for panel in _standing(panels) if formula.id in (panel.proofs or {})]
    if formula.is_open("mix"):
        answers = {dot: status(version, about, find) for dot, version in _versions(formula)}
        return Status(Sprayed.OPEN, answers=answers, earlier=tuple(sorted(panel.id for panel in about)))
    return _judged(about, lambda panel: _pins_now(formula, panel, find))


def _standing(panels: Iterable[Panel]) -> list[Panel]:
    """Return the panels that count: not withdrawn, and not superseded by one that is not withdrawn."""
    standing = [panel for panel in panels if panel.withdrawn is None]
    replaced = {panel.supersedes for panel in standing}
    return [panel for panel in standing if panel.id not in replaced]


def _versions(formula: Formula) -> Iterable[tuple[str, Formula]]:
    """Yield the formula as each live answer to its mix would have it."""
    from sprayout_core.documents import from_tree

    plain = tree(formula)
    others = {atom: dots for atom, dots in plain["questions"].items() if atom != "mix"}
    bare = {name: value for name, value in plain.items() if name != "questions"}
    if others:
        bare["questions"] = others
    for dot, answer in (formula.questions or {})["mix"].items():
        if answer.value is not None:
            version = from_tree(with_value(bare, "mix", answer.value))
            assert is_formula(version)
            yield dot, version


def _variants(panel: Panel, formula: str) -> set[str | None]:
    """Return the spray-ready variants through which the panel's coats name a formula."""
    return {coat.spray_ready for coat in panel.coats or [] if coat.formula == formula}


def _pins_now(formula: Formula, panel: Panel, find: Find) -> bool:
    """Return whether a panel pinned a formula and all it reaches as they stand now.

    A formula that was sprayed neat and also stands in another's mix is pinned once, through its variant.
    """
    pinned = panel.proofs or {}
    now = proofs(formula, find)
    for reached in now:
        variants = _variants(panel, reached)
        if reached != formula.id or not variants:
            variants = variants | {None}
        document = formula if reached == formula.id else find(reached)
        assert is_formula(document)
        if pinned.get(reached) not in _proofs_through(document, variants):
            return False
    return True


def _proofs_through(formula: Formula, variants: set[str | None]) -> set[str]:
    found = set()
    for variant in variants:
        try:
            found.add(proof(formula, variant))
        except MissingVariant:
            continue
    return found


def _judged(about: list[Panel], proves: Callable[[Panel], bool]) -> Status:
    """Return what these panels say. One that proves settles it, whatever hinders judging the others."""
    proving: list[str] = []
    earlier: list[str] = []
    hindered: list[SprayoutError] = []
    for panel in sorted(about, key=lambda panel: panel.id):
        try:
            (proving if proves(panel) else earlier).append(panel.id)
        except (OpenQuestion, MissingDocument, BrokenMix) as error:
            earlier.append(panel.id)
            hindered.append(error)
    if proving:
        return Status(Sprayed.SPRAYED, tuple(proving), tuple(earlier))
    if hindered:
        asked = [error for error in hindered if isinstance(error, OpenQuestion)]
        state = Sprayed.OPEN if asked else Sprayed.UNKNOWN
        because = (asked or hindered)[0].fault.problem
        return Status(state, earlier=tuple(earlier), because=because)
    return Status(Sprayed.CHANGED if earlier else Sprayed.NEVER, earlier=tuple(earlier))


def recipe_status(recipe: Recipe, panels: Iterable[Panel], find: Find) -> Status:
    """Return whether this recipe was sprayed as it stands, over each of its grounds.

    A panel proves it over its one ground when it pinned the recipe's coats and clear and every formula of
    them; a coat that pins its formula is proved by that proof. A ground or a clear that is a formula, and
    that the panel pinned, must stand as it was pinned.
    """
    about = [panel for panel in _standing(panels) if panel.recipe == recipe.id]

    def proves(panel: Panel) -> bool:
        return _recipe_pins_now(recipe, panel, find)

    grounds = {
        thing.id: _judged(
            [panel for panel in about if panel.ground is not None and panel.ground.id == thing.id], proves
        )
        for thing in (recipe.grounds or {}).values()
    }
    over = [panel for panel in about if panel.ground is None or panel.ground.id in grounds or not grounds]
    whole = _judged(over, proves)
    return Status(whole.state, whole.panels, whole.earlier, grounds=grounds, because=whole.because)


def _recipe_pins_now(recipe: Recipe, panel: Panel, find: Find) -> bool:
    if panel.recipe_proof != recipe_proof(recipe):
        return False
    pinned = panel.proofs or {}
    for _, coat in recipe.coats_in_order():
        if coat.pinned is not None:
            if pinned.get(coat.formula) != coat.pinned:
                return False
        elif not _pins_now(_formula(coat.formula, find), panel, find):
            return False
    around = [thing for thing in (panel.ground, recipe.clear.of if recipe.clear else None) if thing]
    return all(
        _pins_now(_formula(thing.id, find), panel, find)
        for thing in around
        if thing.kind == "formula" and thing.id in pinned
    )


def _formula(reference: str, find: Find) -> Formula:
    document = find(reference)
    if not is_formula(document):
        raise MissingDocument(
            f"formula {reference} is not here", "Ask for it with a sync or a packet.", place=reference
        )
    return document
