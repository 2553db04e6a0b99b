"""Formulas from one line, and what is done to them for the gun."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, get_args

from sprayout_core.compare import Change, Put, TakeAway
from sprayout_core.documents import Formula, Role
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Line, parse_line, read_back
from sprayout_core.ratio import decimal_text, exact, has_decimal_text, scale_of, smallest_integers
from sprayout_library.record.names import Names

_LONGEST_TYPED = 200

__all__ = ["Unknown", "mix_changes", "mix_from_line", "ready_changes", "ready_facts", "unknown_names"]


class Unknown(SprayoutError):
    """Names in a mix that no material and no formula has; `names` are those."""

    def __init__(self, names: list[str]) -> None:
        self.names = tuple(names)
        told = ", ".join(repr(name) for name in names)
        role = next((role for role in get_args(Role) if role in names[0].casefold().split()), "dye")
        option = f'--new "{names[0]}={role}"'
        super().__init__(f"not known yet: {told}", f"Say what it is, for instance {option}, or mend the name.")


def unknown_names(line: Line, names: Names) -> list[str]:
    """Return the names in a line that nothing in the library goes by."""
    return [
        part.name
        for part in line.parts
        if not _is_slot(part.name) and not names.matching(part.name, "material", "formula")
    ]


def _is_slot(name: str) -> bool:
    return re.fullmatch(r"\[[a-z]{1,20}\]", name) is not None


def mix_from_line(line: Line, names: Names) -> dict[str, Any]:
    """Return the mix of a parsed line, components found by name. Raises Unknown, Ambiguous.

    A name in square brackets, such as [dye], is an open slot of a house ratio.
    """
    if missing := unknown_names(line, names):
        raise Unknown(missing)
    items: dict[str, dict[str, Any]] = {}
    parts: dict[str, Fraction] = {}
    order: list[str] = []
    for part in line.parts:
        key, kind = _component(part.name, names)
        if key in items:
            raise SprayoutError(f"{part.name!r} stands twice in the mix", "Add its parts up and name it once.")
        order.append(key)
        items[key] = {"kind": kind}
        if part.unit == "g/l":
            items[key]["g_per_l"] = decimal_text(part.amount)
        else:
            parts[key] = part.amount
    if not parts:
        raise SprayoutError("nothing liquid in the mix", "Give at least one component in parts.")
    for key, whole in smallest_integers(parts).items():
        items[key]["ratio"] = whole
    scale = scale_of(parts)
    written = all(has_decimal_text(part) for part in parts.values())
    mix = {
        "basis": line.basis or "volume",
        "items": items,
        "order": order,
        "scale": decimal_text(scale if written else Fraction(1)),
    }
    # What was typed is kept where it says more than the ratio does: that somebody did say by volume or by mass.
    typed = read_back(Line(None, line.basis, line.parts))
    if line.basis is not None and len(typed) <= _LONGEST_TYPED:
        mix["as_typed"] = typed
    return mix


def _component(name: str, names: Names) -> tuple[str, str]:
    if _is_slot(name):
        return f"slot.{name[1:-1]}", "slot"
    entry = names.find(name, "material", "formula")
    return entry.id, entry.kind


def mix_changes(formula: Formula, text: str, names: Names) -> list[Change]:
    """Return the changes that write a formula's mix anew from a line; the same ratio changes only its writing."""
    mix = mix_from_line(parse_line(text), names)
    changes: list[Change] = [Put("mix", {"basis": mix["basis"], "items": mix["items"]})]
    changes.append(Put("mix/scale", mix["scale"]))
    changes.append(Put("mix/order", mix["order"]))
    changes.append(Put("mix/as_typed", mix["as_typed"]) if "as_typed" in mix else TakeAway("mix/as_typed"))
    return changes


_PARTS = re.compile(r"(?P<number>[0-9.,/]+)\s*(?P<percent>%|percent)?")


def ready_facts(given: Mapping[str, str | None]) -> dict[str, Any]:
    """Return the facts of a spray-ready variant from what was said.

    given   reduce ("8%" or "0.08"), reduce_of ("mix", on top, or "whole"), reducer (an id), strain_pour, strain_gun
            ("160um"), tip_mm, laid, gun, body
    """
    facts: dict[str, Any] = {}
    if reduce := given.get("reduce"):
        match = _PARTS.fullmatch(reduce.strip())
        if not match:
            raise SprayoutError(f"{reduce!r} is no amount of reducer", "Write 8% or 0.08.", place="reduce")
        share = exact(match["number"].replace(",", "."))
        share = share / 100 if match["percent"] else share
        facts["reduce"] = {"of": given.get("reduce_of") or "mix", "parts": decimal_text(share)}
        if reducer := given.get("reducer"):
            facts["reduce"]["material"] = reducer
    strain = {where: _strain(words) for where in ("pour", "gun") if (words := given.get(f"strain_{where}"))}
    if strain:
        facts["strain"] = strain
    if tip := given.get("tip_mm"):
        facts["tip_mm"] = decimal_text(exact(tip.removesuffix("mm").strip()))
    facts |= {name: words for name in ("laid", "gun", "body") if (words := given.get(name))}
    return facts


def _strain(words: str) -> dict[str, Any]:
    from sprayout_core.mix import parse_strainer

    opening = {"opening_um": decimal_text(parse_strainer(words))}
    return opening | ({"as_typed": words} if "mesh" in words.lower() else {})


def ready_changes(formula: Formula, name: str, given: Mapping[str, str | None]) -> list[Change]:
    """Return the change that puts one spray-ready variant of a formula; what is not said keeps its fact."""
    from sprayout_core.documents import tree

    held = tree(formula).get("spray_ready", {}).get(name, {})
    facts = {**held, **ready_facts(given)}
    if not facts:
        raise SprayoutError("nothing was said about it", "Give at least a tip, a strainer, or how it is reduced.")
    return [Put(f"spray_ready/{name}", facts)]
