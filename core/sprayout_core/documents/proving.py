"""What a panel pins: digests of documents and proofs of formulas as they were sprayed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

from sprayout_core.documents.atoms import RECORD
from sprayout_core.documents.json_value import Json
from sprayout_core.documents.said import tree
from sprayout_core.documents.text import compact
from sprayout_core.documents.which import is_formula
from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.documents.head import Document
    from sprayout_core.documents.kinds import Formula, Recipe

__all__ = [
    "BrokenMix",
    "CyclicMix",
    "DeepMix",
    "Find",
    "MissingDocument",
    "MissingVariant",
    "OpenQuestion",
    "OpenSlot",
    "digest",
    "mix_facts",
    "proof",
    "proof_of_facts",
    "proofs",
    "recipe_proof",
    "resolve",
]

#: Looks a document up by its id; None where it is not at hand.
Find: TypeAlias = "Callable[[str], Document | None]"

#: Mixes nest no deeper than this; deeper ones are refused rather than followed.
DEEPEST_MIX = 100


class MissingDocument(SprayoutError):
    """A document that is referred to is not at hand."""


class OpenQuestion(SprayoutError):
    """Copies disagree here, so there is no one answer to work with."""


class OpenSlot(OpenQuestion):
    """A house ratio whose slot is not filled has no composition."""


class BrokenMix(SprayoutError):
    """A mix that cannot be followed to its materials."""


class CyclicMix(BrokenMix):
    """A formula that contains itself through others; `path` names them in order."""

    def __init__(self, path: tuple[str, ...]) -> None:
        self.path = path
        super().__init__(f"a mix contains itself: {' > '.join(path)}", "Take one of them out of the other's mix.")


class DeepMix(BrokenMix):
    """Mixes within mixes, deeper than anyone pours."""


class MissingVariant(SprayoutError):
    """A spray-ready variant that the formula does not have."""


def digest(document: Document) -> str:
    """Return "sha256:" and the hash of a document without its edit record (compact form, RFC 8785)."""
    said = {name: value for name, value in tree(document).items() if name not in RECORD}
    return "sha256:" + hashlib.sha256(compact(said)).hexdigest()


def resolve(reference: str, find: Find) -> Document:
    """Return the document of an id. Raises MissingDocument."""
    document = find(reference)
    if document is None:
        raise MissingDocument(
            f"document {reference} is not here", "Ask for it with a sync or a packet.", place=reference
        )
    return document


def mix_facts(formula: Formula) -> dict[str, Json]:
    """Return what a proof holds of a mix: basis, ratio and grams per litre by component id.

    Raises OpenQuestion while copies disagree on the mix.
    """
    if formula.mix is None or formula.mix.items is None:
        raise OpenQuestion(
            f"{formula.name}: two answers to the mix", "Choose between them first.", place=f"{formula.id}/mix"
        )
    facts: dict[str, Json] = {"basis": formula.mix.basis, "ratio": {}, "g_per_l": {}}
    for key, item in formula.mix.items.items():
        name, value = ("ratio", item.ratio) if item.ratio is not None else ("g_per_l", item.g_per_l)
        facts[name][key] = value
    return facts


def proof_of_facts(mix: dict[str, Json], spray_ready: dict[str, Json] | None) -> str:
    """Return the proof of a mix's facts sprayed through one variant's facts (None: as mixed)."""
    said = {"mix": mix, "spray_ready": spray_ready or {}}
    return "p1:" + hashlib.sha256(b"sprayout proof 1\n" + compact(said)).hexdigest()


def proof(formula: Formula, spray_ready: str | None = None) -> str:
    """Return the proof of a formula as sprayed through one spray-ready variant, or as mixed.

    Raises OpenQuestion while the mix or that variant is in question, MissingVariant where there is none of
    that name.
    """
    facts = mix_facts(formula)
    if spray_ready is None:
        return proof_of_facts(facts, None)
    if formula.is_open(f"spray_ready/{spray_ready}"):
        raise OpenQuestion(
            f"{formula.name}: two answers to spray-ready {spray_ready!r}",
            "Choose between them first.",
            place=f"{formula.id}/spray_ready/{spray_ready}",
        )
    variants = tree(formula).get("spray_ready", {})
    if spray_ready not in variants:
        known = ", ".join(sorted(variants)) or "none"
        raise MissingVariant(f"{formula.name} has no spray-ready {spray_ready!r}", f"It has: {known}.")
    return proof_of_facts(facts, _without_spelling(variants[spray_ready]))


def _without_spelling(facts: Json) -> Json:
    if isinstance(facts, dict):
        return {name: _without_spelling(value) for name, value in facts.items() if name != "as_typed"}
    return facts


def proofs(formula: Formula, find: Find, spray_ready: str | None = None) -> dict[str, str]:
    """Return {formula id: proof} of a formula and of every formula reached through its mix.

    Nested formulas count as mixed. Raises OpenQuestion, MissingDocument, CyclicMix.
    """
    pinned: dict[str, str] = {}
    _pin(formula, find, spray_ready, (), pinned)
    return pinned


def _pin(formula: Formula, find: Find, spray_ready: str | None, path: tuple[str, ...], pinned: dict[str, str]) -> None:
    check_path(formula.id, path)
    if formula.id in pinned:
        return
    said = proof(formula, spray_ready)
    assert formula.mix is not None
    for key, item in sorted((formula.mix.items or {}).items()):
        if item.kind == "formula":
            nested = resolve(key, find)
            if not is_formula(nested):
                raise MissingDocument(f"{key} is a {nested.kind}, not a formula", "Mend the mix.", place=formula.id)
            _pin(nested, find, None, (*path, formula.id), pinned)
    # Pinned once all it contains is: a formula met again before that is a cycle, not a finished one.
    pinned[formula.id] = said


def check_path(reference: str, path: tuple[str, ...]) -> None:
    """Raise CyclicMix where a formula stands on the path leading to it, DeepMix where that is too long."""
    if reference in path:
        raise CyclicMix((*path[path.index(reference) :], reference))
    if len(path) >= DEEPEST_MIX:
        raise DeepMix(f"mixes are nested more than {DEEPEST_MIX} deep", "Write the mix out.", place=reference)


def recipe_proof(recipe: Recipe) -> str:
    """Return the proof of a recipe: its coats in order, its clear. Raises OpenQuestion while in question."""
    asked = [atom for atom in recipe.questions or {} if atom.startswith("coats") or atom == "clear"]
    if asked:
        raise OpenQuestion(
            f"{recipe.name}: two answers to {asked[0]}", "Choose first.", place=f"{recipe.id}/{asked[0]}"
        )
    plain = tree(recipe)
    coats = [plain["coats"][key] for key, _ in recipe.coats_in_order()]
    said = {"coats": coats, "clear": plain.get("clear", {})}
    return "p1:" + hashlib.sha256(b"sprayout recipe 1\n" + compact(said)).hexdigest()
