"""Sprayed, changed since it was sprayed, or never sprayed: derived from what panels pin, never typed in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from sprayout_core.compare.state import ABSENT
from sprayout_core.documents import (
    CyclicMix,
    Document,
    Find,
    Formula,
    MissingDocument,
    MissingVariant,
    OpenQuestion,
    Panel,
    Recipe,
    from_tree,
    proofs,
    recipe_proof,
    tree,
    with_value,
)

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
    through it, as they stand now, through the spray-ready variant that the panel names. Withdrawn panels prove
    nothing. While copies disagree on the mix, each answer has a status of its own.
    """
    about = [panel for panel in panels if panel.withdrawn is None and formula.id in (panel.proofs or {})]
    if formula.is_open("mix"):
        answers = {dot: status(version, about, find) for dot, version in _versions(formula)}
        return Status(Sprayed.OPEN, answers=answers, earlier=tuple(sorted(panel.id for panel in about)))
    return _judged(about, lambda panel: _pins_now(formula, panel, find))


def _versions(formula: Formula) -> Iterable[tuple[str, Formula]]:
    """Yield the formula as each live answer to its mix would have it."""
    plain = tree(formula)
    for dot, answer in (formula.questions or {})["mix"].items():
        value: Any = answer.value
        if value is None or value is ABSENT:
            continue
        others = {atom: dots for atom, dots in plain["questions"].items() if atom != "mix"}
        settled = with_value({**plain, "edits": {**plain["edits"]}}, "mix", value)
        settled.pop("questions")
        if others:
            settled["questions"] = others
        version = from_tree(settled)
        assert isinstance(version, Formula)
        yield dot, version


def _pins_now(formula: Formula, panel: Panel, find: Find) -> bool:
    pinned = panel.proofs or {}
    variants = {coat.spray_ready for coat in panel.coats or [] if coat.formula == formula.id} or {None}
    for variant in variants:
        try:
            now = proofs(formula, find, variant)
        except MissingVariant:
            continue
        if all(pinned.get(reached) == said for reached, said in now.items()):
            return True
    return False


def _judged(about: list[Panel], proves: Any) -> Status:
    try:
        proving = tuple(sorted(panel.id for panel in about if proves(panel)))
    except OpenQuestion as error:
        return Status(
            Sprayed.OPEN, earlier=tuple(sorted(panel.id for panel in about)), because=error.fault.problem
        )
    except (MissingDocument, CyclicMix) as error:
        return Status(
            Sprayed.UNKNOWN, earlier=tuple(sorted(p.id for p in about)), because=error.fault.problem
        )
    earlier = tuple(sorted(panel.id for panel in about if panel.id not in proving))
    if proving:
        return Status(Sprayed.SPRAYED, proving, earlier)
    return Status(Sprayed.CHANGED if earlier else Sprayed.NEVER, (), earlier)


def recipe_status(recipe: Recipe, panels: Iterable[Panel], find: Find) -> Status:
    """Return whether this recipe was sprayed as it stands, over each of its grounds.

    A panel proves it over its one ground when it pinned the recipe's coats and clear and every formula of them.
    """
    about = [panel for panel in panels if panel.withdrawn is None and panel.recipe == recipe.id]
    grounds = {
        thing.id: _judged(
            [panel for panel in about if panel.ground is not None and panel.ground.id == thing.id],
            lambda panel: _recipe_pins_now(recipe, panel, find),
        )
        for thing in (recipe.grounds or {}).values()
    }
    over = [panel for panel in about if panel.ground is None or panel.ground.id in grounds or not grounds]
    whole = _judged(over, lambda panel: _recipe_pins_now(recipe, panel, find))
    return Status(whole.state, whole.panels, whole.earlier, grounds=grounds, because=whole.because)


def _recipe_pins_now(recipe: Recipe, panel: Panel, find: Find) -> bool:
    if panel.recipe_proof != recipe_proof(recipe):
        return False
    for _, coat in recipe.coats_in_order():
        formula = find(coat.formula)
        if not isinstance(formula, Formula):
            raise MissingDocument(f"{coat.formula} is not here", "Ask for it with a sync or a packet.")
        if not _pins_now(formula, panel, find):
            return False
    return True
