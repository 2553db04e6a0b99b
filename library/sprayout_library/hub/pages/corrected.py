"""A cup brought toward its standard by adding only: the ways to do it, with ticks, and the cup kept as it is then."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Batch, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.careful import cautions_of
from sprayout_library.hub.pages.cup import cup_at, keep_added
from sprayout_library.hub.pages.foretold import SMALL
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit
from sprayout_library.record.cups import Shelf, catalysed

if TYPE_CHECKING:
    from sprayout_library.film.pots import AddedTo, CorrectedPot, PotAims

__all__ = ["added", "correct"]

#: Pieces looked through for those sprayed out of a cup; pieces and dyes offered.
_MOST, _OFFERED, _DYES = 200, 60, 200
_COLOURING, _GROUNDS = ("dye", "pearl", "solid"), ("metallic", "solid", "sealer")


@dataclass(frozen=True, slots=True)
class Listed:
    """One thing to add: the id of its material, its name, how much in words, and exactly as it is kept."""

    key: str
    name: str
    told: str
    exact: str


@dataclass(frozen=True, slots=True)
class Way:
    """One way to correct a cup: what to add, the coats to spray it in, how far it is from the standard then."""

    additions: tuple[Listed, ...]
    coats: int
    difference: float


def correct(visit: Visit) -> Reply:
    """Show what to add to a cup, so that it comes nearer to its standard; nothing is taken out of it."""
    batch, shelf = cup_at(visit)
    asked, unit = visit.asked, shelf.unit(batch.id)
    pieces, standards = _pieces(batch, visit), _standards(batch, visit)
    materials = [one for one in visit.names.of_kind("material") if not one.withdrawn]
    said = {name: asked.said(name)[:90] for name in (*"Lab", "over", "coats", "step", "holds", "dye", "against")}
    wanted = any(said[name] for name in said) or bool(asked.said("panel"))
    shown: dict[str, Any] = {
        "cup": batch, "mix": visit.names.label(batch.formula), "unit": unit, "pieces": pieces, "standards": standards,
        "grounds": [one for one in materials if one.role in _GROUNDS],
        "dyes": [one for one in materials if one.role in _COLOURING][:_DYES],
        "said": said, "panel": asked.said("panel", pieces[0][0] if pieces and not wanted else ""),
        "found": None, "ways": [], "held": [], "because": None, "cautions": cautions_of(batch, visit.find),
        "really": {name: asked.said(name) for name in asked.form if name.startswith("really-")},
    }  # fmt: skip
    if not (wanted or (pieces and len(visit.hung) <= SMALL)):
        return Reply("corrected.html", shown)
    try:
        found = _found(visit, batch, shelf, shown)
    except SprayoutError as error:
        if wanted:
            return Reply("corrected.html", shown | {"faults": error.faults}, 422)
        return Reply("corrected.html", shown | {"because": error.fault})
    shown |= {
        "found": found,
        "ways": [_way(one, visit, unit) for one in found.ways],
        "held": [(name, visit.amount(amount, unit)) for name, amount in found.held],
    }
    return Reply("corrected.html", shown)


def _pieces(batch: Batch, visit: Visit) -> list[tuple[str, str]]:
    """Return the pieces sprayed out of a cup, newest first: id, and name with ground."""
    formula = visit.find(batch.formula)
    panels = visit.panels_of(formula) if formula else []
    found = []
    for one in reversed(panels[-_MOST:]):
        panel = None if one.withdrawn else visit.find(one.id)
        if any(coat.batch == batch.id for coat in getattr(panel, "coats", None) or []):
            found.append((one.id, visit.called(one.id)))
    return found


def _standards(batch: Batch, visit: Visit) -> list[tuple[str, str]]:
    """Return what a cup may be brought to: standards of the recipes that spray its mix, then other pieces of it.

    Each is what names it in a form (recipe and ground, or a piece), and words.
    """
    formula = visit.find(batch.formula)
    panels = [one for one in (visit.panels_of(formula) if formula else []) if not one.withdrawn]
    found = []
    for key in dict.fromkeys(one.recipe for one in panels if one.recipe):
        recipe = visit.find(key)
        for ground, one in (recipe.standards or {}).items() if isinstance(recipe, Recipe) else ():
            step = f"/{one.step}" if one.step else ""
            words = f"{visit.names.label(one.panel)}{step}, standard of {recipe.name if recipe else ''}"
            found.append((f"{key} {ground}", f"{words} over {visit.names.label(ground)}"))
    light = visit.lightness()
    measured = [one for one in reversed(panels) if one.id in light and one.ground and not one.steps]
    return found + [(one.id, visit.called(one.id)) for one in measured[:_OFFERED]]


def _found(visit: Visit, batch: Batch, shelf: Shelf, shown: dict[str, Any]) -> CorrectedPot:
    from sprayout_core.mix import parse_amount
    from sprayout_library.film.pots import correct_cup
    from sprayout_library.hub.pages.cup import step_of
    from sprayout_library.record.batches import in_unit

    said, unit = shown["said"], shown["unit"]
    step = step_of(visit, unit) if said["step"] else None
    holds = in_unit(parse_amount(said["holds"]), unit, shelf, batch.id) if said["holds"] else None
    dyes = [visit.names.label(said["dye"])] if said["dye"] else []
    return correct_cup(visit.store, visit.names, batch, _aims(visit, batch, shown), dyes, step, holds)


def _aims(visit: Visit, batch: Batch, shown: dict[str, Any]) -> PotAims:
    """Return what the cup is to be brought to: a piece's own standard, a named standard, or a colour as typed."""
    from sprayout_library.film.pots import PotAims

    said, panel = shown["said"], shown["panel"] or None
    if panel and panel not in visit.hung:
        raise SprayoutError("that piece does not hang here any more", "Choose one of those offered.")
    coats = _coats(said["coats"])
    if any(said[axis] for axis in "Lab"):
        toward: str | None = " ".join(said[axis].replace(",", ".").replace("−", "-") for axis in "Lab")
        over = said["over"]
    elif said["against"]:
        toward, over, counted = _standard(visit, batch, said["against"])
        coats = coats or (None if panel else counted)
    else:
        toward, over = None, said["over"]
    if panel:
        return PotAims(_called(panel, visit), toward, None, coats)
    if not toward:
        raise SprayoutError("toward which colour?", "Choose a piece of this cup, a standard, or type L*, a* and b*.")
    if not over:
        raise SprayoutError("over which ground?", "Choose the one that it is sprayed over.")
    if not coats:
        raise SprayoutError("in how many coats?", "Write how many are wanted.")
    return PotAims(None, toward, over, coats)


def _coats(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 30):
        raise SprayoutError(f"{text[:20]!r} is no number of coats", "Write 1 to 30.")
    return int(text)


def _standard(visit: Visit, batch: Batch, text: str) -> tuple[str, str, int | None]:
    """Return what was chosen as a piece, its ground, and its coats of the cup's mix, where that is one number."""
    key, _, ground = text.partition(" ")
    hung, recipe = visit.hung.get(key), visit.find(key) if ground else None
    if hung is not None and hung.ground is not None:
        return _called(key, visit), hung.ground.id, _count(hung.coats or [], batch)
    one = (recipe.standards or {}).get(ground) if isinstance(recipe, Recipe) else None
    if not isinstance(recipe, Recipe) or one is None:
        raise SprayoutError("that does not stand here any more", "Choose one of those offered.")
    place = one.step or one.zone
    return (
        _called(one.panel, visit) + (f"/{place}" if place else ""),
        ground,
        _count((recipe.coats or {}).values(), batch),
    )


def _called(panel: str, visit: Visit) -> str:
    """Return a panel's name where it is the only one of that name, else its id."""
    name = visit.names.label(panel)
    return name if len(visit.names.matching(name, "panel")) == 1 else panel


def _count(coats: Iterable[Any], batch: Batch) -> int | None:
    counts = [coat.count for coat in coats if coat.formula == batch.formula]
    return int(counts[0]) if len(counts) == 1 and counts[0].isdecimal() else None


def _way(one: AddedTo, visit: Visit, unit: str) -> Way:
    from sprayout_core.ratio import decimal_text

    additions = []
    for name, amount in one.additions:
        key = visit.names.find(name, "material").id
        additions.append(Listed(key, name, visit.amount(amount, unit, 3), f"{decimal_text(amount)} {unit}"))
    return Way(tuple(additions), one.coats, one.difference)


def added(visit: Visit) -> Reply:
    """Keep the cup as it is once a way was added, as it was listed except what was said to be otherwise."""
    from sprayout_library.record.pours import hardener_in, really_poured

    batch, shelf = cup_at(visit)
    visit.writer()
    if catalysed(batch, shelf):
        raise SprayoutError(f"hardener is in {batch.label}", "Nothing is added to it any more: mix a new cup.")
    listed = _listed(visit)
    said = [(key, text) for key, *_ in listed if (text := visit.asked.said(f"really-{key}"))]
    poured = really_poured(listed, said, [], shelf, visit.names)
    if not poured:
        raise SprayoutError("nothing was added", "Use the button under what you added.")
    if hardener_in(poured, shelf):
        raise SprayoutError("hardener was added", "That is a pour of its own: pour it out of this cup.")
    toward = visit.asked.said("aim")[:200] or "what was looked at"
    return visit.go(f"/pour/cup/{keep_added(visit, batch, shelf, poured, toward=toward)}")


def _listed(visit: Visit) -> list[tuple[str, Fraction, str]]:
    """Return what was listed on the page: id, amount and unit; it is kept as it was shown, not worked out anew."""
    from sprayout_core.mix import Measure, in_ml, parse_amount

    found = []
    for name in visit.asked.form:
        if not name.startswith("listed-"):
            continue
        key = name.removeprefix("listed-")
        entry = visit.names.entries.get(key)
        if entry is None or entry.kind != "material":
            raise NotThere("one of these materials is not here any more", "Look at the cup anew.")
        amount = parse_amount(visit.asked.said(name))
        if not amount.value:
            continue
        unit = "g" if amount.measure is Measure.G else "ml"
        found.append((key, amount.value if unit == "g" else in_ml(amount), unit))
    return found
