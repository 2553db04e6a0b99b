"""Two side by side: words first, numbers folded below."""

from __future__ import annotations

from typing import Any

from sprayout_core.documents import Document, Layer, Panel
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.lineage import tell_between
from sprayout_library.record.names import kind_said
from sprayout_library.record.sides import SAME_PIECES, colour_between, sides_of

__all__ = ["compare", "seen_through"]

#: Panels through which a mix or a recipe is seen; of more, the newest.
_MOST = 40


def compare(visit: Visit) -> Reply:
    """Show two panels, or two versions of a mix or a recipe; the first is the one held up."""
    asked = visit.asked
    picked = asked.all("piece")
    one, other = [*picked, "", ""][:2] if picked else (asked.said("one"), asked.said("other"))
    if not one or (picked and not other):
        raise SprayoutError("two pieces are compared", "Go back to the wall and pick two.")
    if one == other:
        raise SprayoutError("these are one and the same piece", "Go back and pick two.")
    lights = asked.all("light")
    if any(light.lower().endswith(".csv") for light in lights):  # a file of the machine that serves: nobody names one
        raise SprayoutError("a light of a file is not known here", "Name one that everybody has, such as D65.")
    visit.seen.manifest(visit.store)
    before, after = sides_of(visit.store, visit.names, one, other or None)
    if before.document.kind != after.document.kind:
        kinds = [kind_said(side.document.kind) for side in (before, after)]
        raise SprayoutError(f"a {kinds[0]} is not held against a {kinds[1]}", "Pick two alike.")
    panels = list(dict.fromkeys(name for side in (before, after) for name in seen_through(side.document, visit)))
    found = colour_between(visit.store, before, after, lights, evidence=visit.evidence(panels))
    pair = list(visit.pieces(panels).values()) if isinstance(before.document, Panel) else []
    lines = tell_between(before.document, after.document, visit.names.label)
    if pair:  # two pieces are called differently, of course
        lines = tuple(line for line in lines if line.layer is not Layer.WORDS)
    told: dict[str, Any] = {
        "before": before, "after": after, "pair": pair, "found": found,
        "touching": list(zip(found.swatches[::2], found.swatches[1::2], found.numbers, strict=False)),
        "same": found.lines == [SAME_PIECES],
        "lines": lines,
    }  # fmt: skip
    return Reply("compare.html", told, settled=True)


def seen_through(document: Document, visit: Visit) -> list[str]:
    """Return the panels that a side is seen through: itself, or the newest of those that show it."""
    if isinstance(document, Panel):
        return [document.id]
    return [one.id for one in visit.panels_of(document)][-_MOST:]
