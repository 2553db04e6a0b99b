"""Parts of showing that several commands share: colours, spray-ready in words, cautions, JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from sprayout_core.documents.which import is_formula, is_material, is_panel, is_recipe

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Reading, SprayReady
    from sprayout_library.record import Names
    from sprayout_library.store import Store

__all__ = ["caution_lines", "colour_rows", "data_of", "materials_in", "variant_words"]


def variant_words(variant: SprayReady, names: Names) -> str:
    """Return what is done to a mix for the gun, in words."""
    from sprayout_core.ratio import decimal_text, exact

    told = []
    if variant.reduce:
        percent = decimal_text(exact(variant.reduce.parts) * 100)
        which = names.label(variant.reduce.material) if variant.reduce.material else "reducer"
        told.append(f"{percent} % {which} {'on top of the mix' if variant.reduce.of == 'mix' else 'within the whole'}")
    if variant.strain and variant.strain.pour:
        told.append(f"strained {variant.strain.pour.opening_um} um at the pour")
    if variant.strain and variant.strain.gun:
        told.append(f"strained {variant.strain.gun.opening_um} um in the gun cup")
    if variant.tip_mm:
        told.append(f"{variant.tip_mm} mm tip")
    if variant.body:
        told.append(f"body: {variant.body}")
    if variant.laid:
        told.append(f"laid {variant.laid}")
    if variant.gun:
        told.append(variant.gun)
    return ", ".join(told) or "as mixed"


def colour_rows(readings: Iterable[Reading], store: Store) -> list[tuple[str, str, str]]:
    """Return a row for each spot and geometry measured: what, the colour with its view, how many readings."""
    from sprayout_library.record import colours_of
    from sprayout_library.record.measured import default_view

    view = default_view(_manifest(store))
    told = []
    for colour in colours_of(readings, view):
        for geometry, seen in colour.seen.items():
            lab = "  ".join(f"{name} {value:.2f}" for name, value in zip(("L*", "a*", "b*"), seen.lab, strict=True))
            count = len(colour.readings)
            told.append(
                (
                    colour.spot.said(),
                    f"{geometry}  {lab}  ({view})",
                    f"{count} reading{'s' if count > 1 else ''}",
                )
            )
        told.extend((colour.spot.said(), reason, "") for reason in colour.left_out)
    return told


def _manifest(store: Store) -> Any:
    from sprayout_library.store import manifest

    return manifest(store)


def materials_in(document: Document, store: Store) -> dict[str, Document]:
    """Return every material reached from a document, by id; what is not here is left out."""
    found: dict[str, Document] = {}
    seen: set[str] = set()
    waiting = [document.id]
    while waiting:
        identity = waiting.pop()
        if identity in seen:
            continue
        seen.add(identity)
        one = document if identity == document.id else store.find(identity)
        if is_material(one):
            found[one.id] = one
        elif is_formula(one):
            waiting.extend((one.mix.items if one.mix else None) or {})
            waiting.extend(
                ready.reduce.material
                for ready in (one.spray_ready or {}).values()
                if ready.reduce and ready.reduce.material
            )
        elif is_recipe(one):
            waiting.extend(coat.formula for coat in (one.coats or {}).values())
            waiting.extend(ground.id for ground in (one.grounds or {}).values())
            waiting.extend([one.clear.of.id] if one.clear else [])
        elif is_panel(one):
            waiting.extend(coat.formula for coat in one.coats or [])
            waiting.extend(part.id for part in (one.ground, one.clear) if part)
    return found


def caution_lines(document: Document, store: Store) -> list[str]:
    """Return the cautions of every material in a document, the sentence that defers to the sheet last."""
    from sprayout_core.mix import Caution, cautions_for

    carried: dict[str, list[str]] = {}
    for material in materials_in(document, store).values():
        assert is_material(material)
        for word in dict.fromkeys((material.cautions or {}).values()):
            carried.setdefault(word, []).append(material.name)
    if not carried:
        return []
    who = "; ".join(f"{word} ({', '.join(sorted(carried[word]))})" for word in sorted(carried))
    return [f"Cautions carried: {who}.", *cautions_for(Caution(word) for word in carried)]


def data_of(document: Document, store: Store) -> dict[str, Any]:
    """Return a document with what follows from it, for JSON."""
    from sprayout_core.compare import questions_of
    from sprayout_core.documents import tree
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import composition
    from sprayout_library.record import evidence_for

    data: dict[str, Any] = {"document": tree(document), "questions": list(questions_of(document))}
    if is_formula(document):
        try:
            data["composition"] = {key: str(share) for key, share in composition(document, store.find).items()}
        except SprayoutError as error:
            data["composition_unknown"] = str(error.fault)
    if is_formula(document) or is_recipe(document):
        found = evidence_for(store, "panel").status(document, store)
        data["status"] = {
            "state": found.state.name.lower(),
            "panels": list(found.panels),
            "earlier": list(found.earlier),
        }
    if is_panel(document):
        data["readings"] = [reading.id for reading in evidence_for(store, "reading").readings.get(document.id, [])]
    data["cautions"] = caution_lines(document, store)
    return data
