"""What stands beside a document in `show`: its lineage, what was seen of it, what a stranger would guess."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sprayout_core.documents.which import is_judgement, is_picture, is_recipe
from sprayout_library.cli.told import date_of, heading, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Recipe
    from sprayout_library.film.other_shops import OtherShops
    from sprayout_library.record import Names
    from sprayout_library.record.lineage import Parent
    from sprayout_library.store import Store

__all__ = ["beside_data", "tell_gaps", "tell_judgement", "tell_lineage", "tell_picture", "tell_seen"]


def tell_lineage(document: Document, store: Store, names: Names) -> None:
    """Tell what a document was derived from or fills, with the difference to it."""
    if filling := document.provenance.filling:
        slots = ", ".join(f"{slot}: {names.label(thing.id)}" for slot, thing in sorted(filling.slots.items()))
        say(f"  Fills {names.label(filling.pattern)} ({slots})")
    parent = _parent(document, store, names)
    if parent is None:
        return
    since = f" ({parent.since})" if parent.since else ""
    heading(f"Our version of {names.label(parent.id)}{since}")
    if parent.since != "not here":
        rows([(f"{line.layer.value}:", line.text) for line in parent.lines] or [("the same so far", "")])


def _parent(document: Document, store: Store, names: Names) -> Parent | None:
    if document.provenance.derived is None:
        return None
    from sprayout_library.record.lineage import parent_of

    return parent_of(document, store, names.label)


def tell_seen(panel: str, store: Store, names: Names) -> None:
    """Tell the judgements and pictures of a panel."""
    from sprayout_library.record.about import evidence_of_panels
    from sprayout_library.record.seen import standing, told_judgement, told_picture

    evidence = evidence_of_panels(store, [panel], "judgement", "picture")
    judged = standing(evidence.judgements.get(panel, []))
    if judged:
        heading("By eye")
        for one in judged:
            say(f"  {told_judgement(one, names)}")
    pictures = [one for one in evidence.pictures.get(panel, []) if one.withdrawn is None]
    if pictures:
        heading(f"{len(pictures)} picture{'' if len(pictures) == 1 else 's'}")
        for shot in pictures:
            say(f"  {told_picture(shot, names)}  …{shot.id[-6:]}")


def tell_gaps(document: Document, store: Store, names: Names) -> None:
    """Tell how much a stranger would have to guess, what hinders by name."""
    from sprayout_library.record.about import evidence_about
    from sprayout_library.record.gaps import gaps_of

    found = gaps_of(document, store.find, evidence_about(store, document), names.label)
    for gap in found:
        if gap.hinders == "yes":
            say(f"  {gap.about}: {gap.question}", fg="yellow")
    if found:
        soft(f'  A stranger would have to guess {len(found)} things: sprayout gaps "{document.name}"')


def tell_judgement(document: Document, store: Store, names: Names) -> None:
    """Tell a judgement whole."""
    from sprayout_library.record.seen import told_judgement

    assert is_judgement(document)
    say(f"  {told_judgement(document, names)}")
    if document.at:
        rows([("seen", date_of(document.at))])


def tell_picture(document: Document, store: Store, names: Names) -> None:
    """Tell a picture: what it shows, in which light, and whether the whole one is here."""
    from sprayout_library.record.seen import told_picture
    from sprayout_library.sources import Sources

    assert is_picture(document)
    say(f"  {told_picture(document, names)}")
    kept = Sources(store.folder)
    place = str(kept.path(document.image)) if kept.has(document.image) else "not here; a small one is"
    rows([("size", f"{document.bytes // 1000} kB, {document.media.partition('/')[2]}"), ("the whole one", place)])
    if document.taken_at:
        rows([("taken", date_of(document.taken_at))])


def beside_data(document: Document, store: Store, names: Names) -> dict[str, Any]:
    """Return the same for JSON: lineage, judgements, pictures, gaps."""
    from sprayout_library.record.about import evidence_about, evidence_of_panels
    from sprayout_library.record.gaps import gaps_of

    data: dict[str, Any] = {}
    if parent := _parent(document, store, names):
        data["derived_from"] = {
            "id": parent.id,
            "since": parent.since,
            "changes": [{"layer": line.layer.value, "text": line.text} for line in parent.lines],
        }
    if document.kind == "panel":
        evidence = evidence_of_panels(store, [document.id], "judgement", "picture")
        data["judgements"] = [one.id for one in evidence.judgements.get(document.id, [])]
        data["pictures"] = [one.id for one in evidence.pictures.get(document.id, [])]
    if document.kind in ("formula", "recipe"):
        found = gaps_of(document, store.find, evidence_about(store, document), names.label)
        data["gaps"] = [gap.data() for gap in found]
    if (others := _others(document, store, names)) is not None:
        data["other_shops"] = others.data()
    return data


def tell_others(document: Document, store: Store, names: Names) -> None:
    """Tell how many coats other shops needed of a recipe, where their panels say so."""
    from sprayout_library.cli.told import rows

    found = _others(document, store, names)
    if found is not None:
        rows([("coats", found.words), *((one.shop, one.words) for one in found.shops)])


def _is_shared(recipe: Recipe, store: Store) -> bool:
    """Say whether several shops sprayed a recipe: asked before anything of film is loaded."""
    from sprayout_library.record import evidence_for

    return len({panel.provenance.shop for panel in evidence_for(store, "panel").panels_of(recipe)}) > 1


def _others(document: Document, store: Store, names: Names) -> OtherShops | None:
    if not is_recipe(document) or not _is_shared(document, store):
        return None
    from sprayout_library.film.other_shops import other_shops

    models = store.to_edit()
    recipe = models.get(document.id)
    return other_shops(models, names, recipe) if is_recipe(recipe) else None
