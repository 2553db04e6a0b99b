"""What a material's data sheet says: its density, its solids, its VOC, a lot, cautions."""

from __future__ import annotations

from typing import Any

from sprayout_core.compare import Add, Put
from sprayout_core.documents import Material
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Caution
from sprayout_core.ratio import decimal_text, exact
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

__all__ = ["NUMBERS", "facts", "number_said", "record"]

#: Members that are one number: what stands on the label, its unit, an example.
NUMBERS = {
    "density_g_per_ml": ("Density", "g/ml", "1.02"), "volume_solids_percent": ("Solids by volume", "%", "35"),
    "voc_g_per_l": ("VOC", "g/l", "420"), "flake_um": ("Flake or pearl size", "µm", "20"),
}  # fmt: skip


def facts(visit: Visit) -> Reply:
    """Show what is known of a material, to be written."""
    held = _material(visit)
    rows = [
        (name, label, unit, visit.asked.said(name, getattr(held, name) or ""), example)
        for name, (label, unit, example) in NUMBERS.items()
    ]
    shown: dict[str, Any] = {
        "material": held, "rows": rows, "lots": list(dict.fromkeys((held.lots or {}).values())),
        "lot": visit.asked.said("lot"), "held": set((held.cautions or {}).values()),
        "cautions": [one.value for one in Caution],
    }  # fmt: skip
    return Reply("material.html", shown)


def record(visit: Visit) -> Reply:
    """Write what was said; what was left as it stands is not touched."""
    held, writer = _material(visit), visit.writer()
    changes: list[Put | Add] = []
    for name in NUMBERS:
        said = number_said(visit, name)
        if said is not None and said != getattr(held, name):
            changes.append(Put(name, said))
    for member, values in (("lots", [visit.asked.said("lot")[:100]]), ("cautions", visit.asked.all("caution"))):
        known = set((getattr(held, member) or {}).values())
        changes += [Add(member, one) for one in dict.fromkeys(values) if one and one not in known]
    if not changes:
        raise SprayoutError("nothing new was said", "Write what its data sheet says.")
    writer.save([writer.edited(held, changes)], f"Facts of {held.name}")
    return visit.go(f"/thing/{held.id}")


def number_said(visit: Visit, name: str) -> str | None:
    """Return a number as documents hold it, or None where nothing was said. Raises SprayoutError for what is none."""
    text = visit.asked.said(name)
    if not text:
        return None
    label, unit, example = NUMBERS[name]
    try:
        value = exact(text.replace(",", "."))
    except SprayoutError:
        value = None
    if value is None or value <= 0 or (unit == "%" and value > 100):
        raise SprayoutError(f"{label}: {text[:20]!r} is no number of {unit}", f"Write it like {example}.")
    return decimal_text(value)


def _material(visit: Visit) -> Material:
    found = visit.document(visit.asked.parts["id"])
    if not isinstance(found, Material):
        raise NotThere("data sheets are of materials", "Choose one of these.")
    return found
