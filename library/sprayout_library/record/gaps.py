"""Can a stranger spray it? What another shop would have to guess, place by place, worst first."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.compare import questions_of
from sprayout_core.documents.which import is_formula, is_material, is_recipe
from sprayout_library.record.evidence import Pieces, SprayedPiece
from sprayout_library.record.names import kind_said

if TYPE_CHECKING:
    from sprayout_core.compare import Naming
    from sprayout_core.documents import Coat, Document, Find, Formula, Material, Recipe, SprayReady, Thing

__all__ = ["Gap", "gaps_of"]

_SURE = re.compile(r"[1-9][0-9]?")
#: Mixes nested deeper are not followed.
_DEEPEST = 100


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing another shop would have to guess: what it is about, the question, how to close it.

    hinders   yes where nobody can spray it before this is answered
    """

    about: str
    question: str
    remedy: str
    hinders: str = "no"

    def data(self) -> dict[str, str]:
        """Return the gap as plain members for JSON."""
        return {"about": self.about, "question": self.question, "remedy": self.remedy, "hinders": self.hinders}


def gaps_of(document: Document, find: Find, evidence: Pieces, name: Naming) -> tuple[Gap, ...]:
    """Return what a stranger would have to guess to spray a recipe or a mix, what hinders first.

    find      looks a document up by its id
    evidence  the panels and readings that would travel with it
    name      what an id is called

    Other kinds say what they are and leave nothing to guess.
    """
    asked = _Asked(find, evidence, name)
    if is_recipe(document):
        found = list(asked.recipe(document))
    elif is_formula(document):
        found = [*asked.formula(document, frozenset()), *asked.sprayed(document)]
    else:
        found = []
    unique = list(dict.fromkeys(found))
    return tuple(sorted(unique, key=lambda gap: gap.hinders != "yes"))


class _Asked:
    """Walks a recipe as a stranger would, asking at each place what is not said."""

    def __init__(self, find: Find, evidence: Pieces, name: Naming) -> None:
        self.find = find
        self.evidence = evidence
        self.name = name
        self.met: set[str] = set()

    # ---- a recipe ---------------------------------------------------------------------------------------

    def recipe(self, recipe: Recipe) -> Iterator[Gap]:
        """Yield the gaps of a recipe: grounds, coats, clear, evidence."""
        yield from self.asked(recipe)
        if not recipe.grounds:
            yield Gap(recipe.name, "over which ground?", f'sprayout recipe "{recipe.name}" --over GROUND', "yes")
        for ground in dict.fromkeys((recipe.grounds or {}).values()):
            yield from self.ground(ground)
        if not recipe.coats and not recipe.is_open("coats_order"):
            yield Gap(recipe.name, "which coats?", f'sprayout recipe "{recipe.name}" --coat "5 NAME"', "yes")
        for _, coat in recipe.coats_in_order():
            yield from self.coat(coat, recipe)
        if recipe.clear is None and not recipe.is_open("clear"):
            yield Gap(recipe.name, "is it cleared, and with what?", f'sprayout recipe "{recipe.name}" --clear MATERIAL')
        elif recipe.clear is not None:
            yield from self.thing(recipe.clear.of.kind, recipe.clear.of.id)
            if recipe.clear.count is None:
                called = self.name(recipe.clear.of.id)
                yield Gap(called, "how many coats of clear?", f'sprayout recipe "{recipe.name}" --clear "2 {called}"')
        yield from self.sprayed(recipe)
        if not recipe.standards:
            yield Gap(recipe.name, "which panel is the standard?", f'sprayout standard "{recipe.name}" PANEL')

    def ground(self, ground: Thing) -> Iterator[Gap]:
        """Yield the gaps of a ground: it must be here, and its colour measured."""
        yield from self.thing(ground.kind, ground.id)
        if not self.evidence.is_ground_measured(ground.id):
            called = self.name(ground.id)
            yield Gap(
                called,
                "what colour is this ground? it has no reading",
                "Measure it bare: a step 0, or a panel without coats.",
            )

    def coat(self, coat: Coat, recipe: Recipe) -> Iterator[Gap]:
        """Yield the gaps of one line of the coat schedule."""
        called = self.name(coat.formula)
        again = f'Write the coat anew in "{recipe.name}".'
        if not _SURE.fullmatch(coat.count):
            yield Gap(called, f"{coat.count} coats: how many is that?", "Spray a step card and say which step it was.")
        if coat.laid is None and not self.laid_by_variant(coat):
            yield Gap(called, "laid mist, medium or wet?", again)
        if coat.dry is None:
            yield Gap(called, "when may the next coat go on? no dry rule", again)
        if coat.film_um is None:
            yield Gap(called, "how thick is one coat? film not known", "Weigh or measure one coat, and say it: 12 um.")
        yield from self.thing("formula", coat.formula)
        yield from self.variant(coat)

    def laid_by_variant(self, coat: Coat) -> bool:
        """Return whether the spray-ready variant of a coat says how it is laid."""
        formula = self.find(coat.formula)
        variants = formula.spray_ready or {} if is_formula(formula) else {}
        held = variants.get(coat.spray_ready or "")
        return held is not None and held.laid is not None

    def variant(self, coat: Coat) -> Iterator[Gap]:
        """Yield the gaps of what is done to the mix for the gun."""
        formula = self.find(coat.formula)
        if not is_formula(formula):
            return
        variants = formula.spray_ready or {}
        if coat.spray_ready is None:
            known = (
                f"through {', '.join(sorted(variants))}?" if variants else "tip, strainers and reducing are not said"
            )
            yield Gap(
                formula.name, f"made ready for which gun? {known}", f'sprayout ready "{formula.name}" NAME --tip 1.4'
            )
        elif formula.is_open(f"spray_ready/{coat.spray_ready}"):
            yield Gap(formula.name, f"two answers to spray-ready {coat.spray_ready}", "sprayout answers", "yes")
        elif coat.spray_ready not in variants:
            remedy = f'sprayout ready "{formula.name}" {coat.spray_ready} --tip 1.4'
            yield Gap(formula.name, f"spray-ready {coat.spray_ready} is named but not said", remedy, "yes")
        else:
            yield from self.ready(formula, coat.spray_ready, variants[coat.spray_ready])

    def ready(self, formula: Formula, called: str, variant: SprayReady) -> Iterator[Gap]:
        """Yield what a spray-ready variant leaves open."""
        place, remedy = f"{formula.name}, {called}", f'sprayout ready "{formula.name}" {called}'
        if variant.tip_mm is None:
            yield Gap(place, "which tip?", f"{remedy} --tip MM")
        if variant.strain is None or variant.strain.pour is None:
            yield Gap(place, "strained at the pour, through what?", f"{remedy} --strain-pour 160um")
        if variant.strain is None or variant.strain.gun is None:
            yield Gap(place, "strained in the gun, through what?", f"{remedy} --strain-gun 240um")
        if variant.reduce is None:
            yield Gap(place, "reduced, how much and of what? or sprayed as mixed?", f"{remedy} --reduce 8% --of mix")
        elif variant.reduce.material is None:
            yield Gap(place, "which reducer?", f"{remedy} --reducer NAME")
        else:
            yield from self.thing("material", variant.reduce.material)

    # ---- what a mix is made of --------------------------------------------------------------------------

    def thing(self, kind: str, identity: str, path: frozenset[str] = frozenset()) -> Iterator[Gap]:
        """Yield the gaps of a material or a formula that is named."""
        if identity in path or len(path) >= _DEEPEST:
            told = "contains itself" if identity in path else "is nested deeper than anyone pours"
            yield Gap(self.name(identity), f"this mix {told}", "Take one of them out of the other's mix.", "yes")
            return
        if identity in self.met:
            return
        held = self.find(identity)
        if held is None:
            yield Gap(
                self.name(identity),
                f"this {kind_said(kind)} is not here: what is it?",
                "Sync, or ask for a packet that has it.",
                "yes",
            )
        elif is_formula(held):
            yield from self.formula(held, path)
        elif is_material(held):
            self.met.add(held.id)
            yield from self.material(held)
        else:
            yield Gap(
                held.name,
                f"named as a {kind_said(kind)}, but it is a {kind_said(held.kind)}",
                "Write the mix anew.",
                "yes",
            )

    def formula(self, formula: Formula, path: frozenset[str]) -> Iterator[Gap]:
        """Yield the gaps of a mix and of everything in it."""
        self.met.add(formula.id)
        yield from self.asked(formula)
        mix = formula.mix
        if mix is None or mix.items is None:
            return
        if mix.basis == "volume" and len(mix.items) > 1 and " by volume" not in (mix.as_typed or ""):
            yield Gap(
                formula.name,
                "parts by volume or by mass? nobody said: taken by volume",
                f'sprayout mix "{formula.name} = ... by volume"',
            )
        for key, item in mix.items.items():
            if item.kind == "slot":
                slot = key.removeprefix("slot.")
                yield Gap(
                    formula.name,
                    f"the slot {slot} is open: what goes in?",
                    f'sprayout fill "{formula.name}" TITLE --slot {slot}=NAME',
                    "yes",
                )
                continue
            yield from self.thing(item.kind, key, path | {formula.id})
            held = self.find(key)
            if is_material(held):
                yield from self.weighed(held)
            if item.g_per_l is not None and is_material(held) and held.density_g_per_ml is None:
                yield Gap(
                    held.name,
                    "grams per litre, but its density is not known",
                    f'sprayout material "{held.name}" --density G/ML',
                )

    def material(self, material: Material) -> Iterator[Gap]:
        """Yield the gaps of a stock product: which lot it was."""
        yield from self.asked(material)
        if not material.lots:
            yield Gap(material.name, "which lot was it?", f'sprayout material "{material.name}" --lot LOT')

    def weighed(self, material: Material) -> Iterator[Gap]:
        """Yield what is missing to pour a product of a mix by the scale; grounds and clears are not poured into one."""
        if material.density_g_per_ml is None:
            yield Gap(
                material.name,
                "density not known: it cannot be poured by the scale",
                f'sprayout material "{material.name}" --density G/ML',
            )

    # ---- evidence ---------------------------------------------------------------------------------------

    def sprayed(self, document: Formula | Recipe) -> Iterator[Gap]:
        """Yield what the panels leave open."""
        if is_formula(document) and document.slots:
            return
        panels = [panel for panel in self.evidence.panels_of(document) if panel.withdrawn is None]
        if not panels:
            yield Gap(document.name, "nobody has sprayed it", "Spray a panel: sprayout panel RECIPE --over GROUND")
        for panel in panels:
            yield from self.panel(panel)

    def panel(self, panel: SprayedPiece) -> Iterator[Gap]:
        """Yield what a panel leaves open."""
        if panel.stage is None:
            yield Gap(panel.name, "bare, cleared or polished? its stage is not said", "Record the panel with --stage.")
        if not self.evidence.is_measured(panel.id) and not self.evidence.is_pictured(panel.id):
            yield Gap(
                panel.name,
                "what colour came out? no reading and no picture",
                "sprayout import FILE.csv, or sprayout picture FILE",
            )

    def asked(self, document: Document) -> Iterator[Gap]:
        """Yield a gap for each disagreement that is open."""
        for atom in questions_of(document):
            words = atom.partition("/")[0].replace("_", " ")
            yield Gap(document.name, f"two answers to {words}: which one?", "sprayout answers", "yes")
