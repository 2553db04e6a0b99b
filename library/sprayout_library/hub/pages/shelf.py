"""My shelf: what this shop has for each material and how strong it is; it stays on the machine that shows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Material
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit

if TYPE_CHECKING:
    from sprayout_library.film.shelf import Own, Shelved
    from sprayout_library.machine import Facts

__all__ = ["Bottle", "bottle_of", "bottles_for", "change", "shelf"]

_MOST = 1_000


@dataclass(frozen=True, slots=True)
class Bottle:
    """A bottle as the page tells it: the id and name of its material, what it is, how strong, how that is known.

    strength  "1.15 ± 0.08"; nothing where it was never checked
    """

    key: str
    name: str
    what: str
    strength: str
    how: str


def shelf(visit: Visit) -> Reply:
    """Show what stands on it, and one recipe or mix poured from there."""
    facts, asked = _facts(visit), visit.asked
    names = {one.id: one for one in visit.names.of_kind("material")}
    shown: dict[str, Any] = {
        "bottles": _bottles(visit, facts), "materials": [one for one in names.values() if not one.withdrawn][:_MOST],
        "things": [*_named(visit, "recipe"), *_named(visit, "formula")], "of": asked.said("for"), "found": None,
        "said": {name: asked.said(name)[:200] for name in ("material", "product", "lot", "strength", "give")},
    }  # fmt: skip
    if not shown["of"]:
        return Reply("shelf.html", shown)
    try:
        found = bottles_for(visit, shown["of"])
    except SprayoutError as error:
        return Reply("shelf.html", shown | {"faults": error.faults}, 422)
    ids = {one.name: one.id for one in names.values()}
    have = [(name, role, _told(ids.get(name, ""), own) if own else None) for name, role, own in found.materials]
    return Reply("shelf.html", shown | {"found": found, "have": have})


def _facts(visit: Visit) -> Facts:
    """Return this machine's facts. Raises NotThere where the pages are a hub's: a shelf is never shared."""
    if visit.shelf is None:
        raise NotThere(
            "no shelf stands here", "A shelf is a shop's own: it is kept on the shop's machine, never shared."
        )
    return visit.shelf


def _named(visit: Visit, kind: str) -> list[Any]:
    return sorted((one for one in visit.names.of_kind(kind) if not one.withdrawn), key=lambda one: one.name.casefold())


def _bottles(visit: Visit, facts: Facts) -> list[Bottle]:
    from sprayout_library.film.shelf import my_shelf

    found = sorted(my_shelf(facts).items(), key=lambda pair: pair[1].name.casefold())
    return [_told(key, own) for key, own in found if key in visit.names.entries]


def _told(key: str, own: Own) -> Bottle:
    what = (own.product or "the same product") + (f", lot {own.lot}" if own.lot else "")
    strength = f"{own.strength:.2f} ± {2 * own.give:.2f}" if own.checked else ""
    return Bottle(key, own.name, what, strength, own.how)


def bottle_of(visit: Visit, material: str) -> Bottle | None:
    """Return the shop's own bottle for a material, where one stands on the shelf of this machine."""
    from sprayout_library.film.shelf import my_shelf

    own = my_shelf(visit.shelf).get(material) if visit.shelf is not None else None
    return _told(material, own) if own else None


def bottles_for(visit: Visit, thing: str) -> Shelved:
    """Return a recipe or a mix against the shelf. Raises SprayoutError where it cannot be taken apart."""
    from sprayout_library.film.shelf import from_my_shelf

    _facts(visit)
    return from_my_shelf(visit.store, visit.names, thing)


def change(visit: Visit) -> Reply:
    """Put a bottle on the shelf, or take one off that is empty."""
    does = {"have": _have, "empty": _empty}.get(visit.asked.said("do"))
    if does is None:
        raise SprayoutError("nothing was asked for", "Use one of the buttons.")
    facts = _facts(visit)
    visit.writer()
    does(visit, facts)
    return visit.go("/pour/shelf")


def _material(visit: Visit) -> Material:
    found = visit.find(visit.asked.said("material"))
    if not isinstance(found, Material):
        raise SprayoutError("a bottle of what?", "Choose the material that mixes name.")
    return found


def _have(visit: Visit, facts: Facts) -> None:
    from sprayout_library.film.shelf import Own, put_on_shelf, strength_from_words

    material, asked = _material(visit), visit.asked
    text, give = asked.said("strength").replace(",", "."), asked.said("give").replace(",", ".")
    if give and not text:
        raise SprayoutError("give or take of what?", "Write the strength too, or leave both empty.")
    value, width = strength_from_words(f"{text} +- {give}" if give else text) if text else (1.0, 0.0)
    how = (asked.said("how")[:200] or "as told") if text else ""
    put_on_shelf(
        material, Own(material.name, asked.said("product")[:200], asked.said("lot")[:100], value, width, how), facts
    )


def _empty(visit: Visit, facts: Facts) -> None:
    from sprayout_library.film.shelf import take_off_shelf

    take_off_shelf(_material(visit), facts)
