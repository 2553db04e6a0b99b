"""A spot repair looked at before it is sprayed: the colour at half build, and what a blend will show. No promise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Material, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.film.knowing import Known, known, trial_mix
from sprayout_library.film.looks import chosen_grounds
from sprayout_library.record.names import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Ground, SpotRepair

__all__ = ["Blend", "Repair", "repair"]


@dataclass(frozen=True, slots=True)
class Blend:
    """What a blend over one ground will show, dE00 at the worst angle.

    half      L*, a*, b* at half build over fresh ground by geometry, `colour` the first of them for a screen
    said      that colour in words
    fresh     how far half a build over fresh ground is from the whole colour
    overlap   how far half a build over the old whole one is
    double    how far a whole new build over the old one is
    risk      what to make of it, `words` all of it in a sentence
    """

    ground: str
    coats: float
    half: Mapping[str, tuple[float, float, float]]
    said: str
    colour: str
    fresh: float
    overlap: float
    double: float
    risk: str
    words: str

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "ground": self.ground,
            "coats": self.coats,
            "half": {at: [round(value, 2) for value in lab] for at, lab in self.half.items()},
            "said": self.said,
            "colour": self.colour,
            "fresh": round(self.fresh, 3),
            "overlap": round(self.overlap, 3),
            "double": round(self.double, 3),
            "risk": self.risk,
            "words": self.words,
        }


@dataclass(frozen=True, slots=True)
class Repair:
    """A spot repair of a mix over one or several grounds, with what was assumed and what to take care of."""

    name: str
    geometries: tuple[str, ...]
    view: str
    blends: tuple[Blend, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "name": self.name,
            "geometries": list(self.geometries),
            "view": self.view,
            "blends": [one.data() for one in self.blends],
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def repair(
    store: Store,
    names: Names,
    what: str,
    over: Sequence[str] = (),
    coats: float | None = None,
    geometry: str | None = None,
) -> Repair:
    """Return what a blend will show for a recipe, or for a mix by name or line.

    over      grounds; a recipe's own that have a reading where none is named
    coats     of the whole colour; a recipe's own where not named
    geometry  only this one; else all that panels and grounds were read in

    Raises SprayoutError for several mixes on each other, and with what is missing.
    """
    from sprayout_core.film import spot_repair
    from sprayout_library.record.between import views_of

    knowledge = known(store)
    recipe = _recipe(store, names, what)
    mix, counted, grounds = _of_recipe(recipe, names) if recipe else (what, None, ())
    trial = trial_mix(store, names, knowledge, mix)
    coats = coats or counted
    if coats is None:
        raise SprayoutError(f"how many coats {what} has is not said", "Say it: --coats 4")
    chosen = chosen_grounds(names, knowledge, over or _read(grounds, names, knowledge), knowledge.geometries()[0])
    geometries = [geometry] if geometry else _shared(knowledge, chosen)
    (view,) = views_of(store, [])
    blends = []
    for ground in chosen:
        found = spot_repair(knowledge.learned, ground, trial.shares, coats, geometries, view)
        blends.append(_told(ground, coats, found, view))
    notes = [*trial.notes, *(f"{one.name} was read bare and converted to cleared" for one in chosen if one.converted)]
    return Repair(recipe.name if recipe else trial.name, tuple(geometries), str(view), tuple(blends), tuple(notes),
                  _cautions(store, recipe))  # fmt: skip


def _recipe(store: Store, names: Names, what: str) -> Recipe | None:
    if not names.matching(what, "recipe"):
        return None
    document = store.get(names.find(what, "recipe").id)
    assert isinstance(document, Recipe)
    return document


def _of_recipe(recipe: Recipe, names: Names) -> tuple[str, float | None, tuple[str, ...]]:
    """Return the name of a recipe's one mix, its coats where they are sure, and its grounds' ids."""
    coats = [coat for _, coat in recipe.coats_in_order()]
    formulas = {coat.formula for coat in coats}
    if len(formulas) != 1:
        raise SprayoutError(f"{recipe.name} sprays several mixes on each other", "Look at each mix by itself.")
    sure = all(coat.count.isdigit() for coat in coats)
    grounds = tuple(dict.fromkeys(one.id for one in (recipe.grounds or {}).values()))
    return next(iter(formulas)), float(sum(int(coat.count) for coat in coats)) if sure else None, grounds


def _read(grounds: Sequence[str], names: Names, knowledge: Known) -> list[str]:
    known_ones = [key for key in grounds if key in knowledge.gathered.grounds]
    if grounds and not known_ones:
        knowledge.ground(grounds[0], names.label(grounds[0]))  # says what to measure
    return known_ones


def _shared(knowledge: Known, grounds: Sequence[Ground]) -> list[str]:
    shared = [at for at in knowledge.geometries() if all(at in ground.readings for ground in grounds)]
    if not shared:
        raise SprayoutError("these grounds were read in no geometry that panels were", "Measure them alike.")
    return shared


def _told(ground: Ground, coats: float, found: SpotRepair, view: Any) -> Blend:
    from sprayout_core.difference import tone
    from sprayout_core.light import hexadecimal, srgb

    half = {at: (float(lab[0]), float(lab[1]), float(lab[2])) for at, lab in found.half.items()}
    first = next(iter(half.values()))
    return Blend(
        ground.name, coats, half, tone(first), str(hexadecimal(srgb(list(first), view).rgb)), found.fresh,
        found.overlap, found.double, found.risk, found.words,
    )  # fmt: skip


def _cautions(store: Store, recipe: Recipe | None) -> tuple[str, ...]:
    """Return what to take care of: sanding and spraying always, and what the clear over it carries."""
    from sprayout_core.mix import Caution, cautions_for

    clear = store.find(recipe.clear.of.id) if recipe and recipe.clear else None
    carried = dict.fromkeys((clear.cautions or {}).values()) if isinstance(clear, Material) else {}
    sanding = "Feathering an edge makes dust: wet, or with extraction, and a mask, as the data sheets name them."
    return (sanding, *cautions_for([*(Caution(word) for word in carried), Caution.SPRAY_MIST]))
