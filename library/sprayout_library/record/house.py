"""House ratios: a mix with open slots, what was filled into them, and which fillings now differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sprayout_core.compare import Sprayed
from sprayout_core.documents import Filling, Formula, OpenQuestion, Thing, mix_facts, proof, tree
from sprayout_core.errors import SprayoutError
from sprayout_library.record.evidence import Evidence
from sprayout_library.store import Store

__all__ = ["Filled", "filled_facts", "filled_mix", "fillings_of", "slots_from_words"]


@dataclass(frozen=True, slots=True)
class Filled:
    """A mix that fills a house ratio: what stands in each slot, whether it was sprayed, why it differs ("" if not)."""

    formula: Formula
    slots: Mapping[str, Thing]
    sprayed: Sprayed
    panels: tuple[str, ...]
    differs: str


def slots_from_words(pattern: Formula, words: Mapping[str, Thing]) -> dict[str, Thing]:
    """Return the filling of every open slot by its key. Raises SprayoutError for one too many or too few."""
    if not pattern.slots:
        raise SprayoutError(
            f"{pattern.name} has no open slot", 'A house ratio is written "House = 4 [dye] : 1 [pearl]".'
        )
    given = {f"slot.{name}": thing for name, thing in words.items()}
    known = ", ".join(slot.removeprefix("slot.") for slot in pattern.slots)
    for slot in given:
        if slot not in pattern.slots:
            raise SprayoutError(f"{pattern.name} has no slot {slot.removeprefix('slot.')!r}", f"It has: {known}.")
    if missing := [slot.removeprefix("slot.") for slot in pattern.slots if slot not in given]:
        raise SprayoutError(f"the slot {missing[0]} is left open", f"Give --slot {missing[0]}=NAME; it has: {known}.")
    return given


def filled_mix(pattern: Formula, slots: Mapping[str, Thing]) -> dict[str, Any]:
    """Return the mix of a pattern with every slot filled; ratio, order and scale are the pattern's.

    slots   by key such as "slot.dye". Raises SprayoutError where one thing would stand in it twice,
            OpenQuestion while copies disagree on the pattern.
    """
    mix_facts(pattern)
    plain = tree(pattern)["mix"]
    items: dict[str, Any] = {}
    for key, item in plain["items"].items():
        thing = slots.get(key)
        name = thing.id if thing else key
        if name in items or (thing and name in plain["items"]):
            raise SprayoutError(
                "one component would stand in the mix twice", "Fill each slot with a thing of its own.", place=key
            )
        items[name] = {**item, "kind": thing.kind} if thing else dict(item)
    order = [slots[key].id if key in slots else key for key in plain.get("order", ())]
    mix = {"basis": plain["basis"], "items": items, "scale": plain.get("scale", "1")}
    return mix | ({"order": order} if order else {})


def filled_facts(pattern: Formula, title: str, slots: Mapping[str, Thing]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the facts of a new mix that fills a house ratio, and the lineage for its provenance."""
    facts: dict[str, Any] = {"title": title, "mix": filled_mix(pattern, slots)}
    if ready := tree(pattern).get("spray_ready"):
        facts["spray_ready"] = ready
    named = {key.removeprefix("slot."): {"kind": thing.kind, "id": thing.id} for key, thing in slots.items()}
    return facts, {"pattern": pattern.id, "proof": proof(pattern), "slots": named}


def fillings_of(store: Store, pattern: Formula, evidence: Evidence) -> list[Filled]:
    """Return every mix that fills a house ratio, by title: was it sprayed, and does it still follow the pattern."""
    found = []
    for document in store.documents("formula"):
        filling = document.provenance.filling
        if not isinstance(document, Formula) or filling is None or filling.pattern != pattern.id:
            continue
        state = evidence.status(document, store)
        found.append(
            Filled(
                document,
                filling.slots,
                state.state,
                state.panels or state.earlier,
                _differs(document, pattern, filling),
            )
        )
    return sorted(found, key=lambda one: (one.formula.name.casefold(), one.formula.id))


def _differs(formula: Formula, pattern: Formula, filling: Filling) -> str:
    """Return why a filling no longer is what the pattern would give; nothing where it is."""
    slots = {f"slot.{name}": thing for name, thing in filling.slots.items()}
    try:
        if set(pattern.slots) != set(slots):
            return "the pattern has other slots now"
        wanted = filled_mix(pattern, slots)
        parts = {key: item.get("ratio", item.get("g_per_l")) for key, item in wanted["items"].items()}
        facts = mix_facts(formula)
        held = {**facts["ratio"], **facts["g_per_l"]}
        if (wanted["basis"], parts) == (facts["basis"], held):
            return ""
        return "the pattern changed since" if proof(pattern) != filling.proof else "it was changed itself"
    except OpenQuestion as error:
        return error.fault.problem
    except SprayoutError:
        return "the pattern now holds what fills its slot"
