"""House ratios: a mix with open slots for dye, pearl or carrier, and the formulas that fill them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from sprayout_core.documents import Formula, OpenQuestion, Thing, made, mix_facts, proof, tree
from sprayout_core.errors import SprayoutError

__all__ = ["Follows", "HouseError", "HouseFilling", "fill", "filled_mix", "house_filling", "open_slots"]

_SLOT = "slot."


class HouseError(SprayoutError):
    """A house ratio that cannot be filled this way."""


class Follows(Enum):
    """How a formula stands to the house ratio it was filled from."""

    SAME = "as the house ratio is now"
    PATTERN_CHANGED = "the house ratio was changed since"
    OWN_WAY = "went its own way"
    OPEN = "two answers"


@dataclass(frozen=True, slots=True)
class HouseFilling:
    """A filled formula beside its house ratio as that stands now.

    follows   how the two stand
    now       the mix that filling the house ratio would make now, where it can be filled
    """

    formula: str
    follows: Follows
    now: Mapping[str, Any] | None = None


def open_slots(formula: Formula) -> tuple[str, ...]:
    """Return the names of the open slots of a house ratio, sorted; none for an ordinary formula."""
    return tuple(slot.removeprefix(_SLOT) for slot in formula.slots)


def filled_mix(pattern: Formula, slots: Mapping[str, Thing]) -> dict[str, Any]:
    """Return the mix that a house ratio makes with these things in its slots, slot names without "slot.".

    Parts, basis, scale and pouring order are the pattern's. Raises HouseError for a slot left open, a slot the
    pattern does not have and a component that would stand twice; OpenQuestion while the pattern is in question.
    """
    mix_facts(pattern)
    _check(pattern, slots)
    plain: dict[str, Any] = tree(pattern)["mix"]
    keys = {f"{_SLOT}{name}": thing for name, thing in slots.items()}
    items = {}
    for key, item in plain["items"].items():
        thing = keys.get(key)
        items[thing.id if thing else key] = {**item, "kind": thing.kind} if thing else item
    filled = {**plain, "items": items}
    filled.pop("as_typed", None)
    if "order" in plain:
        filled["order"] = [keys[key].id if key in keys else key for key in plain["order"]]
    return filled


def _check(pattern: Formula, slots: Mapping[str, Thing]) -> None:
    has = open_slots(pattern)
    if not has:
        raise HouseError(f"{pattern.name} has no open slot", "It is an ordinary formula: derive from it instead.")
    for name in slots:
        if name not in has:
            raise HouseError(f"{pattern.name} has no slot {name!r}", f"It has: {', '.join(has)}.")
    for name in has:
        if name not in slots:
            raise HouseError(f"the slot {name} of {pattern.name} is open", "Say what goes there.", place=f"slot.{name}")
    there = set(pattern.mix.items or ()) if pattern.mix else set()
    for name, thing in slots.items():
        if thing.id in there:
            remedy = "Change the house ratio, or take something else."
            raise HouseError(f"what goes into {name} stands in the mix already", remedy, place=thing.id)
        there.add(thing.id)


def fill(
    pattern: Formula,
    slots: Mapping[str, Thing],
    *,
    title: str,
    copy: str,
    provenance: Mapping[str, Any],
    id: str,
) -> Formula:
    """Return an ordinary formula: a house ratio with its slots filled, its spray-ready variants with it.

    title, copy, provenance, id   as in `documents.made`; the filling is written into the provenance

    Raises what `filled_mix` raises, and DocumentError.
    """
    mix = filled_mix(pattern, slots)
    things = {name: {"kind": thing.kind, "id": thing.id} for name, thing in slots.items()}
    lineage = {"pattern": pattern.id, "proof": proof(pattern), "slots": things}
    facts: dict[str, Any] = {"title": title, "mix": mix}
    if variants := tree(pattern).get("spray_ready"):
        facts["spray_ready"] = variants
    document = made("formula", facts, copy=copy, provenance={**provenance, "filling": lineage}, id=id)
    assert isinstance(document, Formula)
    return document


def house_filling(formula: Formula, pattern: Formula) -> HouseFilling:
    """Return how a filled formula stands to its house ratio now.

    A pattern that lost a slot or gained one cannot be filled as it was: it was changed. Raises HouseError where
    the formula was not filled from this pattern.
    """
    filling = formula.provenance.filling
    if filling is None or filling.pattern != pattern.id:
        raise HouseError(f"{formula.name} was not filled from {pattern.name}", "Give the house ratio it names.")
    try:
        stands = mix_facts(formula)
        now = filled_mix(pattern, filling.slots)
        moved = proof(pattern) != filling.proof
    except HouseError:
        return HouseFilling(formula.id, Follows.PATTERN_CHANGED)
    except OpenQuestion:
        return HouseFilling(formula.id, Follows.OPEN)
    if _facts(now) == stands:
        return HouseFilling(formula.id, Follows.SAME, now)
    return HouseFilling(formula.id, Follows.PATTERN_CHANGED if moved else Follows.OWN_WAY, now)


def _facts(mix: Mapping[str, Any]) -> dict[str, Any]:
    amounts = {
        name: {key: item[name] for key, item in mix["items"].items() if name in item} for name in ("ratio", "g_per_l")
    }
    return {"basis": mix["basis"], **amounts}
