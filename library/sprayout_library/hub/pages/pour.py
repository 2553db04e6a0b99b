"""Pour: the list for a cup or a scale with ticks, and the cup that was really poured."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Formula
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.careful import cautions_of
from sprayout_library.hub.pages.today import cups_of
from sprayout_library.hub.pages.units import strainer
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.cups import Shelf

if TYPE_CHECKING:
    from sprayout_library.today.pouring import Pouring

__all__ = ["pour", "record"]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the list as it is told: how much, what the cup or the scale then reads, what to know of it."""

    key: str
    name: str
    amount: str
    reading: str
    notes: str
    share: float


def pour(visit: Visit) -> Reply:
    """Show what can be poured; with a mix and an amount, the list."""
    from sprayout_library.today.tools import tools

    asked = visit.asked
    bench = tools()
    shown: dict[str, Any] = {
        "formulas": [entry for entry in visit.names.of_kind("formula") if not entry.withdrawn],
        "mix": asked.said("mix"), "amount": asked.said("amount"), "tool": asked.said("tool"),
        "through": asked.said("through"), "tools": [*bench.cups, *bench.scales], "cups": cups_of(visit),
        "formula": None, "rows": [], "layers": [], "pouring": None, "ready": [], "cautions": [], "problem": None,
        "really": {name: asked.said(name) for name in asked.form if name.startswith(("really-", "lot-"))},
        "own": [],
    }  # fmt: skip
    if asked.said("mix"):
        formula = _formula(visit)
        shown |= {"formula": formula, "ready": sorted(formula.spray_ready or {})}
        shown["cautions"], shown["own"] = cautions_of(formula, visit.find), _own(visit, formula)
        if asked.said("amount"):
            try:
                pouring = _pouring(visit, formula)
            except SprayoutError as error:
                return Reply("pour.html", shown | {"faults": error.faults}, 422)
            rows = _rows(pouring, visit)
            layers = [(row.name, row.amount, row.share) for row in rows]
            shown |= {"pouring": pouring, "rows": rows, "layers": layers}
    return Reply("pour.html", shown)


def _formula(visit: Visit) -> Formula:
    found = visit.store.get(visit.asked.said("mix"))
    if not isinstance(found, Formula):
        raise SprayoutError("which mix?", "Choose one of this library.")
    return found


def _pouring(visit: Visit, formula: Formula) -> Pouring:
    from sprayout_core.mix import parse_amount
    from sprayout_library.today.filling import filled
    from sprayout_library.today.tools import tools

    asked = visit.asked
    tool = tools().pours_with(asked.said("tool")) if asked.said("tool") else None
    return filled(formula, Shelf(visit.store), parse_amount(asked.said("amount")), tool, asked.said("through") or None)


def _rows(pouring: Pouring, visit: Visit) -> list[Row]:
    whole: dict[str, Fraction] = {}
    for line in pouring.lines:
        whole[line.unit] = whole.get(line.unit, Fraction(0)) + line.amount
    found = []
    for line in pouring.lines:
        digits = 3 if abs(line.amount) < 1 else 2
        reading = "" if line.reading is None else f"reads {visit.amount(line.reading, line.unit)}"
        strain = f"strained {strainer(line.strain_um)}" if line.strain_um else ""
        notes = "; ".join(text for text in (line.said, strain, line.warning) if text)
        amount, share = visit.amount(line.amount, line.unit, digits), float(line.amount / whole[line.unit])
        found.append(Row(line.key, line.name, amount, reading, notes, share))
    return found


def _own(visit: Visit, formula: Formula) -> list[str]:
    """Return the mix as it is poured from the shop's own bottles, where those are stronger or weaker than written."""
    from sprayout_library.hub.pages.shelf import bottles_for

    if visit.shelf is None or not visit.shelf.get("shelf"):
        return []
    try:
        mixes = bottles_for(visit, formula.id).mixes
    except SprayoutError:
        return []  # what hinders it is told by the list itself
    return [one.ratio for one in mixes if any(part.exact != part.written for part in one.parts)]


def record(visit: Visit) -> Reply:
    """Record the cup: as listed, except what was said to be otherwise."""
    from sprayout_library.record.batches import batch_facts, next_label
    from sprayout_library.record.pours import hardener_in, really_poured

    asked, writer, shelf = visit.asked, visit.writer(), Shelf(visit.store)
    formula = _formula(visit)
    pouring = _pouring(visit, formula)
    listed = [(line.key, line.amount, line.unit) for line in pouring.lines]
    really = [(line.key, text) for line in pouring.lines if (text := asked.said(f"really-{line.key}"))]
    lots = [(line.key, text) for line in pouring.lines if (text := asked.said(f"lot-{line.key}"))]
    poured = really_poured(listed, really, lots, shelf, visit.names)
    label = next_label(visit.names, asked.said("label") or None)
    facts = batch_facts(
        formula, visit.store.find, poured, label=label, at=visit.at, variant=asked.said("through") or None,
        hardener=hardener_in(poured, shelf),
    )  # fmt: skip
    batch = writer.new("batch", {"title": label, **facts})
    writer.save([batch], f"Poured {label}: {formula.name}")
    return visit.go(f"/pour/cup/{batch.id}")
