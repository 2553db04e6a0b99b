"""Our version of a document: the same facts under a new id, with its parent written down."""

from __future__ import annotations

from collections.abc import Mapping

from sprayout_core.documents.atoms import ATOMS
from sprayout_core.documents.head import Document
from sprayout_core.documents.identity import dot_order
from sprayout_core.documents.making import made
from sprayout_core.documents.proving import OpenQuestion, digest
from sprayout_core.documents.said import tree
from sprayout_core.documents.values import Json
from sprayout_core.errors import SprayoutError

__all__ = ["derive"]

#: What a version takes over, by kind. Evidence, notes and aliases stay with the parent.
_TAKEN = {
    "material": (
        "role", "density_g_per_ml", "volume_solids_percent", "mass_solids_percent", "voc_g_per_l", "flake_um",
        "cautions", "safety_notes", "tags", "rights",
    ),
    "formula": ("mix", "spray_ready", "tags", "rights"),
    "recipe": ("grounds", "coats", "coats_order", "clear", "tolerance", "tags", "rights"),
}  # fmt: skip


def derive(
    parent: Document,
    *,
    title: str,
    copy: str,
    provenance: Mapping[str, Json],
    id: str,
    library: str | None = None,
) -> Document:
    """Return our version of a material, a formula or a recipe, equal to its parent in all but its words.

    title, copy, provenance, id   as in `made`; the parent and its digest are written into the provenance
    library                       the id of the library the parent came from, where that is another

    Raises OpenQuestion while the parent has two answers to anything taken over, SprayoutError for other kinds.
    """
    taken = _TAKEN.get(parent.kind)
    if taken is None:
        raise SprayoutError(f"there is no version of a {parent.kind}", "Derive from a material, a formula or a recipe.")
    for atom in parent.questions or {}:
        if atom.partition("/")[0] in taken:
            place = f"{parent.id}/{atom}"
            raise OpenQuestion(f"{parent.name}: two answers to {atom}", "Choose between them first.", place=place)
    lineage = {"id": parent.id, "digest": digest(parent)} | ({"library": library} if library else {})
    facts: dict[str, Json] = {"title": title, **_facts(parent, taken)}
    return made(parent.kind, facts, copy=copy, provenance={**provenance, "derived": lineage}, id=id)


def _facts(parent: Document, taken: tuple[str, ...]) -> dict[str, Json]:
    plain = tree(parent)
    keyed = {row.member for row in ATOMS[parent.kind] if row.keyed == "dot"}
    facts: dict[str, Json] = {}
    for member in taken:
        if member not in plain or member == "coats_order":
            continue
        held = plain[member]
        if member in keyed:
            order = [key for key in plain.get("coats_order", ()) if key in held] if member == "coats" else []
            order += sorted(set(held) - set(order), key=dot_order)
            facts[member] = [held[key] for key in order]
        else:
            facts[member] = held
    return facts
