"""One thing whole: a material, a mix, a recipe with its stack, a panel in several lights, a cup; and its history."""

from __future__ import annotations

from typing import Any

from sprayout_core.compare import questions_of
from sprayout_core.documents import Batch, Document, Judgement, Material, Picture, Reading
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.careful import cautions_of
from sprayout_library.hub.pages.foretold import SMALL
from sprayout_library.hub.pages.panel import panel_told
from sprayout_library.hub.pages.shelf import bottle_of
from sprayout_library.hub.pages.sprayed import formula_told, recipe_told
from sprayout_library.hub.pages.told import Told
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.seen import told_judgement, told_picture
from sprayout_library.record.versions import told_versions

__all__ = ["thing"]

#: Versions shown at once; older ones are counted.
_VERSIONS = 20


def thing(visit: Visit) -> Reply:
    """Show one document."""
    document = visit.document(visit.asked.parts["id"])
    told = _KINDS.get(document.kind, _other)(document, visit)
    versions = None
    if len(visit.hung) <= SMALL or visit.asked.said("versions"):
        versions = told_versions(visit.store, document.id, visit.names.label)
    came = document.provenance
    shown: dict[str, Any] = {
        "document": document,
        "facts": told.facts,
        "questions": questions_of(document),
        "notes": list((document.notes or {}).values()),
        "tags": list(dict.fromkeys((document.tags or {}).values())),
        "cautions": cautions_of(document, visit.find),
        "versions": None if versions is None else list(reversed(versions))[:_VERSIONS],
        "asks_versions": bool(visit.asked.said("versions")),
        "older": max(len(versions or ()) - _VERSIONS, 0),
        "shop": visit.names.label(came.shop) if came.shop else "",
        "came": came,
        "parts": [], "flat": [], "unknown": "", "ready": [], "layers": [], "status": None, "pieces": [], "piece": None,
        "lights": [], "seen": [], "pictures": [], "readings": 0, "over": [], "gaps": [], "more_pieces": 0, "cards": [],
        "forgiving": [], "foretold": None, "standard": None, "bottle": None,
        "shown": [],
    }  # fmt: skip
    own = document.kind == "material" and visit.shelf is not None  # what stands on a shelf is asked each time
    return Reply("thing.html", shown | told.more, settled=not own)


def _material(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Material)
    rows = [
        ("role", document.role, ""), ("density", document.density_g_per_ml, "g/ml"),
        ("solids by volume", document.volume_solids_percent, "%"), ("flake", document.flake_um, "µm"),
        ("VOC", document.voc_g_per_l, "g/l"), ("safety notes", document.safety_notes, ""),
    ]  # fmt: skip
    facts = [(label, f"{value} {unit}".strip()) for label, value, unit in rows if value]
    if lots := dict.fromkeys((document.lots or {}).values()):
        facts.append(("lots", ", ".join(lots)))
    return Told(facts, {"bottle": bottle_of(visit, document.id)})


def _batch(document: Document, visit: Visit) -> Told:
    from sprayout_library.record.cups import Shelf

    assert isinstance(document, Batch)
    shelf = Shelf(visit.store)
    facts = [("mix", visit.names.label(document.formula))]
    facts += [("made ready for", document.spray_ready)] if document.spray_ready else []
    try:
        facts.append(("left", visit.amount(shelf.left(document.id), shelf.unit(document.id))))
        facts += [
            (visit.names.label(key), f"{visit.amount(amount, shelf.unit(document.id))} in what is left")
            for key, amount in shelf.left_in(document.id).items()
        ]
    except (SprayoutError, KeyError) as error:
        facts.append(("left", error.fault.problem if isinstance(error, SprayoutError) else "taken out of use"))
    facts += [("hardener", "in: nothing is added any more")] if document.catalysed == "yes" else []
    return Told(facts)


def _judgement(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Judgement)
    judged = [piece.panel for tied in document.pieces for piece in tied]  # they hang in the order that was seen
    judged += [document.against.panel] if document.against else []
    pieces = list(visit.pieces(dict.fromkeys(judged)).values())
    return Told([("by eye", told_judgement(document, visit.names))], {"shown": pieces})


def _picture(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Picture)
    words, pieces = told_picture(document, visit.names), visit.pieces(one.panel for one in document.shows or [])
    return Told([("shows", words)], {"pictures": [(document.id, words)], "shown": list(pieces.values())})


def _reading(document: Document, visit: Visit) -> Told:
    from sprayout_core.documents import Piece
    from sprayout_library.record.pieces import piece_name

    assert isinstance(document, Reading)
    at = Piece(panel=document.panel, step=document.step, zone=document.zone)
    facts = [
        ("of", piece_name(at, visit.names)), ("stage", document.stage.surface if document.stage else ""),
        ("known by", document.grade or ""), ("at", ", ".join(one.geometry for one in document.measured)),
    ]  # fmt: skip
    pieces = list(visit.pieces([document.panel]).values())
    return Told([one for one in facts if one[1]], {"shown": pieces})


def _other(document: Document, visit: Visit) -> Told:
    return Told([])


_KINDS = {
    "material": _material, "formula": formula_told, "recipe": recipe_told, "panel": panel_told, "batch": _batch,
    "judgement": _judgement, "picture": _picture, "reading": _reading,
}  # fmt: skip
