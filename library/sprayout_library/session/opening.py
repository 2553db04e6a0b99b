"""Opening a session: a recipe as it stands, the cups at hand, the pieces on the stand, each checked first."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from sprayout_core.documents import Batch, Coat, Recipe, recipe_proof
from sprayout_core.errors import SprayoutError
from sprayout_library.record import Names
from sprayout_library.record.cups import Shelf
from sprayout_library.record.from_cups import CupMistaken, cup_mistaken

__all__ = ["CupMistaken", "cup_tap", "piece_tap", "start_tap"]

_PIECE = re.compile(
    r"(?P<name>.+?)\s+over\s+(?P<ground>.+?)(?:\s*,\s*(?P<shape>flat|curved))?(?:\s*,\s*for\s+(?P<of>.+))?",
    re.IGNORECASE,
)


def start_tap(
    recipe: Recipe, library: str, session: str, shelf: Shelf, names: Names, cups: Sequence[Batch], pieces: Sequence[str]
) -> dict[str, Any]:
    """Return the first tap of a session, without time and person. Raises SprayoutError, OpenQuestion."""
    lines = []
    for _, coat in recipe.coats_in_order():
        facts = _coat_facts(coat)
        lines.append({"formula": coat.formula, "name": names.label(coat.formula), **facts})
    if not lines:
        raise SprayoutError(f"{recipe.name} has no coats", 'Add some: sprayout recipe ... --coat "5 NAME".')
    found: dict[str, Any] = {
        "tap": "start", "session": session, "library": library, "recipe": recipe.id, "recipe_name": recipe.name,
        "recipe_proof": recipe_proof(recipe), "lines": lines, "cups": [], "pieces": [],
    }  # fmt: skip
    if recipe.clear:
        found["clear"] = {"kind": recipe.clear.of.kind, "id": recipe.clear.of.id}
    if not cups:
        raise SprayoutError("no cup to spray from", "Pour one and name it: --cup C1.")
    if not pieces:
        raise SprayoutError("no piece to spray", 'Name each with its ground: --piece "K1 over silver".')
    for batch in cups:
        found["cups"].append(cup_tap(batch, lines, shelf, names, [one["label"] for one in found["cups"]]))
    for words in pieces:
        found["pieces"].append(piece_tap(words, recipe, names, [one["name"] for one in found["pieces"]]))
    return found


def _coat_facts(coat: Coat) -> dict[str, Any]:
    """Return the facts of a coat that a session shows: how many, how laid, through what, when the next."""
    facts: dict[str, Any] = {
        "count": coat.count,
        "spray_ready": coat.spray_ready,
        "laid": coat.laid,
        "film_um": coat.film_um,
    }
    if coat.dry:
        facts["dry"] = coat.dry.model_dump(exclude_none=True)
    return {name: value for name, value in facts.items() if value is not None}


def cup_tap(
    batch: Batch, lines: Sequence[Mapping[str, Any]], shelf: Shelf, names: Names, taken: Sequence[str]
) -> dict[str, Any]:
    """Return a cup as a session holds it. Raises CupMistaken for a cup of a mix that no coat sprays, empty or gone."""
    label = batch.label or f"…{batch.id[-6:]}"
    if label in taken:
        raise SprayoutError(f"{label} is on the bench already", "Name each cup once.")
    if batch.id not in shelf.batches:
        raise SprayoutError(f"{label} was taken out of use", "Pour another, or bring it back.")
    if not shelf.left(batch.id):
        raise SprayoutError(f"{label} is empty", "Pour another: sprayout pour.")
    if all(line["formula"] != batch.formula for line in lines):
        raise cup_mistaken(batch, {line["formula"]: line.get("spray_ready") for line in lines}, shelf, names)
    return {
        "label": label, "batch": batch.id, "formula": batch.formula, "name": names.label(batch.formula),
        "spray_ready": batch.spray_ready, "proofs": dict(batch.proofs),
    }  # fmt: skip


def piece_tap(words: str, recipe: Recipe, names: Names, taken: Sequence[str]) -> dict[str, Any]:
    """Return a piece from words such as "K2 over silver, curved" or "K2F over silver, flat, for K2".

    Raises SprayoutError for words without a ground, a ground the recipe is not sprayed over, a name that is taken.
    """
    match = _PIECE.fullmatch(" ".join(words.split()))
    if not match:
        raise SprayoutError(f"{words!r} does not say over what", 'Write "K1 over silver", or "K2 over white, curved".')
    name = match["name"].strip()
    if len(name) > 60:
        raise SprayoutError(f"{name[:20]!r}... is too long for the back of a piece", "Give it up to 60 letters.")
    if name.casefold() == "all":
        raise SprayoutError("a piece cannot be called all", "That word means every piece.")
    if name.casefold() in {one.casefold() for one in taken}:
        raise SprayoutError(f"{name!r} is on the stand already", "Give each piece a code of its own.")
    if any(entry.label.casefold() == name.casefold() for entry in names.entries.values() if entry.label):
        raise SprayoutError(f"{name!r} stands on another cup or panel", "Give each piece a code of its own.")
    grounds = {one.id: one for one in (recipe.grounds or {}).values()}
    entry = names.find(match["ground"].strip(), "material", "formula")
    if grounds and entry.id not in grounds:
        known = ", ".join(names.label(key) for key in grounds)
        raise SprayoutError(f"{recipe.name} is not sprayed over {entry.name}", f"It is over {known}.")
    companion = (match["of"] or "").strip()
    if companion and companion not in taken:
        raise SprayoutError(
            f"there is no piece {companion!r} to go with", f"On the stand: {', '.join(taken) or 'none'}."
        )
    piece = {
        "name": name, "ground": {"kind": entry.kind, "id": entry.id}, "ground_name": entry.name,
        "shape": (match["shape"] or "flat").lower(),
    }  # fmt: skip
    return piece | ({"companion_of": companion} if companion else {})
