"""One thing whole: a material, a mix, a recipe with its stack, a panel in several lights, a cup; and its history."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sprayout_core.compare import questions_of, written_ratio
from sprayout_core.documents import Batch, Document, Formula, Judgement, Material, Panel, Picture, Recipe, SprayReady
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.careful import cautions_of
from sprayout_library.hub.pages.layers import direct_parts, flat_or_reason, stack_of
from sprayout_library.hub.pages.pieces import Band, piece_of
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.seen import told_judgement, told_picture
from sprayout_library.record.versions import told_versions

__all__ = ["thing"]

#: Versions shown at once; older ones are counted.
_VERSIONS = 20


@dataclass(slots=True)
class Told:
    """What a kind adds to its page: rows of facts, and what its template shows besides."""

    facts: list[tuple[str, str]] = field(default_factory=list)
    more: dict[str, Any] = field(default_factory=dict)


def thing(visit: Visit) -> Reply:
    """Show one document."""
    document = visit.document(visit.asked.parts["id"])
    told = _KINDS.get(document.kind, _other)(document, visit)
    versions = told_versions(visit.store, document.id, visit.names.label)
    came = document.provenance
    shown: dict[str, Any] = {
        "document": document,
        "facts": told.facts,
        "questions": questions_of(document),
        "notes": list((document.notes or {}).values()),
        "tags": list(dict.fromkeys((document.tags or {}).values())),
        "cautions": cautions_of(document, visit.store),
        "versions": list(reversed(versions))[:_VERSIONS],
        "older": max(len(versions) - _VERSIONS, 0),
        "shop": visit.names.label(came.shop) if came.shop else "",
        "came": came,
        "parts": [], "flat": [], "unknown": "", "ready": [], "layers": [], "status": None, "pieces": [], "piece": None,
        "lights": [], "seen": [], "pictures": [], "readings": 0, "over": [], "gaps": [],
    }  # fmt: skip
    return Reply("thing.html", shown | told.more)


def _material(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Material)
    rows = [
        ("role", document.role, ""), ("density", document.density_g_per_ml, "g/ml"),
        ("solids by volume", document.volume_solids_percent, "%"), ("flake", document.flake_um, "um"),
        ("VOC", document.voc_g_per_l, "g/l"), ("safety notes", document.safety_notes, ""),
    ]  # fmt: skip
    facts = [(label, f"{value} {unit}".strip()) for label, value, unit in rows if value]
    if lots := dict.fromkeys((document.lots or {}).values()):
        facts.append(("lots", ", ".join(lots)))
    return Told(facts)


def _formula(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Formula)
    flat, unknown = flat_or_reason(document, visit)
    ready = [(name, _ready_words(one, visit)) for name, one in sorted((document.spray_ready or {}).items())]
    written = written_ratio(document, visit.names.label) if document.mix else ""
    parts = direct_parts(document, visit)
    same = {share.name for share in flat} == {share.name for share in parts}
    return Told(
        [("written", written)] if written else [],
        {"parts": parts, "flat": [] if same else flat, "unknown": unknown, "ready": ready, **_sprayed(document, visit)},
    )


def _ready_words(variant: SprayReady, visit: Visit) -> str:
    """Return what is done to a mix for the gun, in words."""
    from sprayout_core.ratio import decimal_text, exact

    told = []
    if variant.reduce:
        percent = decimal_text(exact(variant.reduce.parts) * 100)
        which = visit.names.label(variant.reduce.material) if variant.reduce.material else "reducer"
        told.append(f"{percent} % {which} {'on top of the mix' if variant.reduce.of == 'mix' else 'within the whole'}")
    if variant.strain and variant.strain.pour:
        told.append(f"strained {variant.strain.pour.opening_um} um at the pour")
    if variant.strain and variant.strain.gun:
        told.append(f"strained {variant.strain.gun.opening_um} um in the gun cup")
    told += [f"{variant.tip_mm} mm tip"] if variant.tip_mm else []
    told += [f"laid {variant.laid}"] if variant.laid else []
    return ", ".join([*told, *([variant.gun] if variant.gun else [])]) or "as mixed"


def _sprayed(document: Formula | Recipe, visit: Visit) -> dict[str, Any]:
    panels = visit.evidence.panels_of(document)
    pieces = [visit.pieces[panel.id] for panel in reversed(panels) if panel.id in visit.pieces]
    if isinstance(document, Formula) and document.slots:
        return {"pieces": pieces}
    status = visit.evidence.status(document, visit.store)
    over = [(visit.names.label(ground), one.state.value) for ground, one in status.grounds.items()]
    return {"status": status, "pieces": pieces, "over": over, "gaps": _gaps(document, visit)}


def _gaps(document: Formula | Recipe, visit: Visit) -> list[Any]:
    from sprayout_library.record.gaps import gaps_of

    return list(gaps_of(document, visit.store.find, visit.evidence, visit.names.label))


def _recipe(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Recipe)
    layers, scale = stack_of(document, visit)
    mixes = []
    for _, coat in document.coats_in_order():
        formula = visit.store.get(coat.formula)
        if isinstance(formula, Formula):
            mixes.append((coat, formula, direct_parts(formula, visit)))
    standards = [(visit.names.label(ground), one.panel) for ground, one in (document.standards or {}).items()]
    more = {"layers": layers, "scale": scale, "mixes": mixes, "standards": standards, **_sprayed(document, visit)}
    return Told([], more)


def _panel(document: Document, visit: Visit) -> Told:
    from sprayout_library.record.between import manifest_of
    from sprayout_library.record.measured import default_view

    assert isinstance(document, Panel)
    piece = visit.pieces.get(document.id)
    if piece is None:
        piece = piece_of(document, visit.evidence, visit.names, default_view(manifest_of(visit.store)))
    facts = []
    if document.recipe:
        facts.append(("recipe", visit.names.label(document.recipe)))
    if document.ground:
        facts.append(("over", visit.names.label(document.ground.id)))
    for coat in document.coats or []:
        through = f", through {coat.spray_ready}" if coat.spray_ready else ""
        facts.append((f"{coat.count} coats of", visit.names.label(coat.formula) + through))
    facts += [("stage", document.stage.surface)] if document.stage else []
    facts += [("kept", document.kept)] if document.kept else []
    found = visit.evidence
    seen = [told_judgement(one, visit.names) for one in found.judgements.get(document.id, []) if one.withdrawn is None]
    pictures = [(one.id, told_picture(one, visit.names)) for one in found.pictures.get(document.id, [])]
    more = {
        "piece": piece, "lights": _lights(document, visit), "seen": seen, "pictures": pictures,
        "readings": len(found.readings.get(document.id, [])), "sprayed_at": document.sprayed_at,
        "others": [one for one in visit.pieces.values() if one.recipe == document.recipe and one.id != document.id],
    }  # fmt: skip
    return Told(facts, more)


def _lights(panel: Panel, visit: Visit) -> list[tuple[str, str, Band]]:
    """Return the piece under each light a shop meets, where spectra tell it."""
    from sprayout_core.light import VIEWS

    if not any(one.reduced or one.spectrum for reading in visit.evidence.readings.get(panel.id, [])
               for one in reading.measured):  # fmt: skip
        return []
    found = []
    for name, view in VIEWS.items():
        bands = piece_of(panel, visit.evidence, visit.names, view).bands
        if bands:
            found.append((name, str(view), bands[-1]))
    return found


def _batch(document: Document, visit: Visit) -> Told:
    from sprayout_core.mix.bounds import told
    from sprayout_library.record.cups import Shelf

    assert isinstance(document, Batch)
    shelf = Shelf(visit.store)
    facts = [("mix", visit.names.label(document.formula))]
    facts += [("made ready for", document.spray_ready)] if document.spray_ready else []
    try:
        facts.append(("left", f"{told(shelf.left(document.id), 2)} {shelf.unit(document.id)}"))
        facts += [
            (visit.names.label(key), f"{told(amount, 2)} {shelf.unit(document.id)} in what is left")
            for key, amount in shelf.left_in(document.id).items()
        ]
    except (SprayoutError, KeyError) as error:
        facts.append(("left", error.fault.problem if isinstance(error, SprayoutError) else "taken out of use"))
    facts += [("hardener", "in: nothing is added any more")] if document.catalysed == "yes" else []
    return Told(facts)


def _judgement(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Judgement)
    return Told([("by eye", told_judgement(document, visit.names))])


def _picture(document: Document, visit: Visit) -> Told:
    assert isinstance(document, Picture)
    return Told([("shows", told_picture(document, visit.names))], {"pictures": [(document.id, document.name)]})


def _other(document: Document, visit: Visit) -> Told:
    return Told([])


_KINDS = {
    "material": _material, "formula": _formula, "recipe": _recipe, "panel": _panel, "batch": _batch,
    "judgement": _judgement, "picture": _picture,
}  # fmt: skip
