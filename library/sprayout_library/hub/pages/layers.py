"""What a recipe's stack and a mix's bars are drawn from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.documents import Formula, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import composition
from sprayout_library.hub.pages.told import coats_of
from sprayout_library.hub.pages.visit import Visit

__all__ = ["Layer", "Share", "direct_parts", "flat_parts", "stack_of"]

_COAT_PX, _GROUND_PX, _CLEAR_PX = 26, 44, 40
_TALLEST = 9


@dataclass(frozen=True, slots=True)
class Share:
    """One part of a mix as a bar shows it."""

    name: str
    share: float
    said: str
    href: str = ""

    @property
    def percent(self) -> str:
        """The share in percent, for those who do not see the bar."""
        return f"{self.share * 100:.1f}"


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a stack: how high it is drawn, where its coats part, short words in it and whole ones beside.

    coats  of a layer of coats, how many are drawn
    """

    kind: str
    high: int
    lines: tuple[float, ...]
    short: str
    said: str
    coats: int = 0


def direct_parts(formula: Formula, visit: Visit) -> list[Share]:
    """Return what a mix is poured from, as it was written; what is weighed dry beside the parts is only told."""
    items = (formula.mix.items if formula.mix else None) or {}
    whole = sum(item.ratio or 0 for item in items.values())
    found = []
    for key in formula.mix.pouring_order() if formula.mix else []:
        item = items[key]
        href = f"{visit.base}/thing/{key}" if key in visit.names.entries else ""
        name = visit.names.label(key) if href else f"[{key}]"
        if item.ratio:
            share = item.ratio / whole
            found.append(Share(name, share, f"{item.ratio} of {whole} parts, {share * 100:.1f} %", href))
        else:
            found.append(Share(name, 0.0, "weighed dry beside the parts", href))
    return found


def flat_parts(formula: Formula, visit: Visit) -> list[Share]:
    """Return what is in a mix once every mix inside it is taken apart. Raises SprayoutError where that is unknown."""
    flat: Mapping[str, Fraction] = composition(formula, visit.find)
    return [
        Share(visit.names.label(key), float(share), f"{float(share) * 100:.1f} %", f"{visit.base}/thing/{key}")
        for key, share in sorted(flat.items(), key=lambda pair: -pair[1])
    ]


def stack_of(recipe: Recipe, visit: Visit) -> tuple[list[Layer], str]:
    """Return the layers of a recipe from the top, and whether their heights mean anything.

    Layers are to scale only where the film of every coat is known; the clear and the ground never are.
    """
    coats = [coat for _, coat in recipe.coats_in_order()]
    films = [float(coat.film_um) if coat.film_um else None for coat in coats]
    known = [film for film in films if film]
    scaled = len(known) == len(films) and bool(known)
    layers = []
    if recipe.clear is not None:
        name = visit.names.label(recipe.clear.of.id)
        laid = coats_of(recipe.clear.count, name) if recipe.clear.count else name
        layers.append(Layer("clear", _CLEAR_PX, (), laid[:40], f"clear: {laid}"))
    for coat, film in reversed(list(zip(coats, films, strict=True))):
        number = min(_most(coat.count), _TALLEST)
        each = round(_COAT_PX * (film / max(known))) if scaled and film else _COAT_PX
        high = max(number * each, 24)
        lines = tuple(high * place / number for place in range(1, number))
        name = visit.names.label(coat.formula)
        said = coats_of(coat.count, name)
        layers.append(
            Layer("coats", high, lines, said[:40], said + (f", {coat.film_um} µm each" if film else ""), number)
        )
    grounds = list(dict.fromkeys(visit.names.label(one.id) for one in (recipe.grounds or {}).values()))
    told = ", or ".join(grounds) or "no ground named yet"
    layers.append(Layer("ground", _GROUND_PX, (), told if len(told) <= 40 else told[:39] + "…", f"ground: {told}"))
    return layers, "coats to film scale" if scaled else "not to scale: the film of a coat is not recorded"


def _most(count: str) -> int:
    last = count.removeprefix("about ").rpartition(" ")[2]
    return max(int(last), 1) if last.isdecimal() else 1


def flat_or_reason(formula: Formula, visit: Visit) -> tuple[list[Share], str]:
    """Return what is in a mix, or why that is not known."""
    try:
        return flat_parts(formula, visit), ""
    except SprayoutError as error:
        return [], error.fault.problem
