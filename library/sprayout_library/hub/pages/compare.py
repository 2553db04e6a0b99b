"""Two side by side: words first, numbers folded below."""

from __future__ import annotations

from typing import Any

from sprayout_core.documents import Layer, Panel
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.lineage import tell_between
from sprayout_library.record.sides import colour_between, sides_of

__all__ = ["compare"]


def compare(visit: Visit) -> Reply:
    """Show two panels, or two versions of a mix or a recipe; the first is the one held up."""
    asked = visit.asked
    picked = asked.all("piece")
    one, other = [*picked, "", ""][:2] if picked else (asked.said("one"), asked.said("other"))
    if not one or (picked and not other):
        raise SprayoutError("two pieces are compared", "Go back to the wall and pick two.")
    if one == other:
        raise SprayoutError("these are one and the same piece", "Go back and pick two.")
    before, after = sides_of(visit.store, visit.names, one, other or None)
    if before.document.kind != after.document.kind:
        raise SprayoutError(f"a {before.document.kind} is not held against a {after.document.kind}", "Pick two alike.")
    found = colour_between(visit.store, before, after, asked.all("light"))
    pair = []
    if isinstance(before.document, Panel) and isinstance(after.document, Panel):
        pair = [visit.pieces[side.document.id] for side in (before, after) if side.document.id in visit.pieces]
    lines = tell_between(before.document, after.document, visit.names.label)
    if pair:  # two pieces are called differently, of course
        lines = tuple(line for line in lines if line.layer is not Layer.WORDS)
    told: dict[str, Any] = {
        "before": before, "after": after, "pair": pair, "found": found,
        "touching": list(zip(found.swatches[::2], found.swatches[1::2], strict=False)),
        "lines": lines,
    }  # fmt: skip
    return Reply("compare.html", told)
