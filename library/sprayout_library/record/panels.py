"""Panels: what was sprayed, with everything it proves pinned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sprayout_core.documents import Find, Formula, Recipe, SprayedCoat, proofs, recipe_proof, tree
from sprayout_core.errors import SprayoutError

__all__ = ["coats_of_recipe", "panel_facts", "pinned"]


def panel_facts(
    recipe: Recipe,
    ground: str,
    find: Find,
    sprayed: Sequence[SprayedCoat] = (),
    pins: Mapping[str, Any] | None = None,
    **more: Any,
) -> dict[str, Any]:
    """Return the facts of a panel of a recipe over one of its grounds.

    ground   id of a ground of the recipe
    sprayed  the coats as they really went on; by default as the recipe has them
    pins     what cups pinned of the coats that came from them (see `from_cups`); by default what stands now
    more     label, shape, zones, steps, stage, session, sprayed_at, conditions ...

    Raises SprayoutError for a ground the recipe does not have, OpenQuestion while copies disagree on a mix in it.
    """
    over = {thing.id: thing for thing in (recipe.grounds or {}).values()}
    if over and ground not in over:
        raise SprayoutError(f"{recipe.name} is not sprayed over that ground", "Add the ground to the recipe first.")
    coats = list(sprayed) or coats_of_recipe(recipe)
    facts: dict[str, Any] = {
        "recipe": recipe.id,
        "recipe_proof": recipe_proof(recipe),
        "ground": {"kind": over[ground].kind, "id": ground} if over else {"kind": "material", "id": ground},
        "coats": [coat.model_dump(exclude_none=True) for coat in coats],
        **(pinned(coats, find) if pins is None else pins),
        **more,
    }
    if recipe.clear:
        facts["clear"] = recipe.clear.of.model_dump(exclude_none=True)
    return {name: value for name, value in facts.items() if value is not None}


def coats_of_recipe(recipe: Recipe) -> list[SprayedCoat]:
    """Return the coats of a recipe as if they had gone on as written."""
    return [
        SprayedCoat(formula=coat.formula, count=coat.count, spray_ready=coat.spray_ready, laid=coat.laid)
        for _, coat in recipe.coats_in_order()
    ]


def pinned(coats: Sequence[SprayedCoat], find: Find) -> dict[str, Any]:
    """Return what a panel pins of its coats: the proof of every formula reached, and the ratios themselves."""
    said: dict[str, str] = {}
    poured: dict[str, dict[str, int]] = {}
    for coat in coats:
        formula = find(coat.formula)
        if not isinstance(formula, Formula):
            raise SprayoutError(f"the formula {coat.formula} is not here", "Sync, or take a packet that has it.")
        for reached, proof in proofs(formula, find, coat.spray_ready).items():
            if reached == formula.id or reached not in said:
                said[reached] = proof
            nested = find(reached)
            assert nested is not None
            items = tree(nested)["mix"]["items"]
            poured[reached] = {key: item["ratio"] for key, item in items.items() if "ratio" in item}
    return {"proofs": said, "poured": poured}
