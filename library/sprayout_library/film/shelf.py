"""My shelf: this shop's own bottles and how strong they are; kept on this machine, recipes stay as they are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Formula, Material, Recipe, resolve
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import composition
from sprayout_library.film.parts import Poured, poured_with
from sprayout_library.machine import Facts, shop_facts

if TYPE_CHECKING:
    from sprayout_core.film import Estimate
    from sprayout_library.record.names import Names
    from sprayout_library.store import Store

__all__ = ["Own", "Shelved", "from_my_shelf", "my_shelf", "put_on_shelf", "strength_from_words", "take_off_shelf"]

_FACT = "shelf"


@dataclass(frozen=True, slots=True)
class Own:
    """One's own bottle for a material.

    name      the material's name
    product   what it really is, where it is another product; "" for the material itself
    lot       its lot, where known
    strength  beside the bottle that recipes were written with; 1 where never checked
    give      standard uncertainty of the strength; 0 where never checked
    how       how the strength is known, in words
    """

    name: str
    product: str = ""
    lot: str = ""
    strength: float = 1.0
    give: float = 0.0
    how: str = ""

    @property
    def checked(self) -> bool:
        """Whether its strength was ever looked at."""
        return bool(self.how)

    @property
    def words(self) -> str:
        """What it is and how strong, in words."""
        what = self.product or "the same product"
        lot = f", lot {self.lot}" if self.lot else ""
        if not self.checked:
            return f"{what}{lot}; strength never checked: counts as equal"
        return f"{what}{lot}; strength {self.strength:.2f} +- {2 * self.give:.2f} ({self.how})"


@dataclass(frozen=True, slots=True)
class Shelved:
    """A recipe or a mix against the shelf: each material with the own bottle (None: not on the shelf), and how to pour.

    materials  name, role and own bottle of each material, grounds and clear of a recipe among them
    mixes      each mix of it poured from the own bottles
    """

    name: str
    materials: tuple[tuple[str, str, Own | None], ...]
    mixes: tuple[Poured, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "of": self.name,
            "materials": [
                {
                    "material": name,
                    "role": role,
                    "on_shelf": own is not None,
                    "product": own.product if own else "",
                    "lot": own.lot if own else "",
                    "strength": own.strength if own and own.checked else None,
                    "uncertainty": own.give if own and own.checked else None,
                }
                for name, role, own in self.materials
            ],
            "mixes": [one.data() for one in self.mixes],
        }


def my_shelf(facts: Facts | None = None) -> dict[str, Own]:
    """Return the shelf by material id. Raises SprayoutError naming what was spoilt by hand."""
    kept = (facts or shop_facts()).get(_FACT, {})
    if not isinstance(kept, dict):
        raise SprayoutError("the shelf is no list of bottles", "Take it out of the shop's facts by hand.", place=_FACT)
    return {key: _own(key, one) for key, one in kept.items()}


def _own(key: str, one: object) -> Own:
    try:
        assert isinstance(one, dict)
        own = Own(**one)
        sound = float(own.strength) > 0 and float(own.give) >= 0 and isinstance(own.name, str)
    except (TypeError, ValueError, AssertionError):
        sound = False
    if not sound:
        raise SprayoutError("this bottle was spoilt by hand", "Take it off the shelf.", place=f"{_FACT}/{key}")
    return own


def put_on_shelf(material: Material, own: Own, facts: Facts | None = None) -> None:
    """Put a bottle on the shelf; one for the same material is replaced."""
    told = {name: getattr(own, name) for name in ("name", "product", "lot", "strength", "give", "how")}

    def put(kept: dict[str, Any]) -> None:
        kept.setdefault(_FACT, {})[material.id] = told

    (facts or shop_facts()).change(put)


def take_off_shelf(material: Material, facts: Facts | None = None) -> None:
    """Take a bottle off the shelf. Raises SprayoutError where there is none."""
    if material.id not in (facts or shop_facts()).get(_FACT, {}):
        raise SprayoutError(f"no bottle of {material.name} is on your shelf", "See: sprayout shelf")

    def take(kept: dict[str, Any]) -> None:
        kept.get(_FACT, {}).pop(material.id, None)

    (facts or shop_facts()).change(take)


def strength_from_words(words: str) -> tuple[float, float]:
    """Return strength and standard uncertainty from "1.15 +- 0.08" (twice the uncertainty) or "1.15".

    Without +- it counts as sure to a tenth. Raises SprayoutError for anything else.
    """
    value, sign, give = words.replace("±", "+-").partition("+-")
    refused = SprayoutError(f"{words!r} is no strength", 'Write it beside 1 for equal: "1.15 +- 0.08", or 1.15.')
    try:
        strength = float(value)
        width = float(give) / 2 if sign else 0.05 * strength
    except ValueError:
        raise refused from None
    if not 0.05 <= strength <= 20 or not 0 <= width < strength / 2:
        raise refused
    return strength, width


def from_my_shelf(store: Store, names: Names, text: str) -> Shelved:
    """Return what the shelf has for each material of a recipe or a mix, and how to pour it from there.

    Raises SprayoutError where nothing goes by that name, and what `composition` raises.
    """
    document = store.get(names.find(text, "recipe", "formula").id)
    shelf = my_shelf()
    formulas = list(_formulas(store, document))
    ids = dict.fromkeys(key for formula in formulas for key in composition(formula, store.find))
    if isinstance(document, Recipe):
        things = [*(document.grounds or {}).values(), *([document.clear.of] if document.clear else [])]
        ids |= dict.fromkeys(one.id for one in things if one.kind == "material")
    materials = []
    for key in ids:
        material = resolve(key, store.find)
        if isinstance(material, Material):
            materials.append((material.name, material.role or "", shelf.get(material.id)))
    mixes = tuple(poured_with(formula, _strengths(shelf), store.find) for formula in formulas)
    return Shelved(document.name if document else text, tuple(materials), mixes)


def _formulas(store: Store, document: object) -> Iterator[Formula]:
    if isinstance(document, Formula):
        yield document
    if isinstance(document, Recipe):
        for key in dict.fromkeys(coat.formula for coat in (document.coats or {}).values()):
            formula = store.find(key)
            if isinstance(formula, Formula):
                yield formula


def _strengths(shelf: Mapping[str, Own]) -> dict[str, Estimate]:
    from sprayout_core.film import Estimate

    return {key: Estimate(one.strength, one.give) for key, one in shelf.items() if one.checked}
