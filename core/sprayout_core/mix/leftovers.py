"""What is left in each cup, and of what, through any chain of cups poured on from one another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import positive, told, zero_or_more

__all__ = ["PouredCup", "contents", "left_in", "remainders"]


@dataclass(frozen=True, slots=True)
class PouredCup:
    """A cup really poured, in one unit throughout the chain (grams, or millilitres taken to add).

    poured     amounts by what was poured in: a material, or the key of another cup
    taken_out  what left it for spraying or waste; what other cups took is counted from them
    """

    poured: Mapping[str, Fraction]
    taken_out: Fraction = Fraction(0)


def remainders(cups: Mapping[str, PouredCup]) -> dict[str, Fraction]:
    """Return what is left in each cup: poured less taken out less poured on by other cups, exactly.

    Raises SprayoutError for a cup that gave more than was in it and for cups poured in a circle.
    """
    _in_order(cups)
    left = {}
    for key, cup in cups.items():
        amounts = (zero_or_more(amount, f"{key}/{name}") for name, amount in cup.poured.items())
        left[key] = sum(amounts, Fraction(0)) - zero_or_more(cup.taken_out, f"{key}/taken_out")
    for key, cup in cups.items():
        for source, amount in cup.poured.items():
            if source in left:
                left[source] -= amount
                _refuse_overdrawn(source, left[source], f"{key}/{source}")
    for key, amount in left.items():
        _refuse_overdrawn(key, amount, key)
    return left


def contents(cups: Mapping[str, PouredCup], key: str) -> dict[str, Fraction]:
    """Return the materials poured into one cup, with every cup poured into it resolved to materials.

    A cup is taken to be well stirred: what is poured on has the make-up of the whole.
    """
    if key not in cups:
        raise SprayoutError("no such cup", "Look up its label.", place=key)
    resolved: dict[str, dict[str, Fraction]] = {}
    for name in _in_order(cups):
        made: dict[str, Fraction] = {}
        for source, amount in cups[name].poured.items():
            for material, part in _of(resolved, source, zero_or_more(amount, f"{name}/{source}")).items():
                made[material] = made.get(material, Fraction(0)) + part
        resolved[name] = made
    return resolved[key]


def left_in(cups: Mapping[str, PouredCup], key: str) -> dict[str, Fraction]:
    """Return the materials still in one cup; empty when it is."""
    all_in = contents(cups, key)
    whole = sum(all_in.values(), Fraction(0))
    left = remainders(cups)[key]
    return {material: amount * left / whole for material, amount in all_in.items()} if whole and left else {}


def _of(resolved: Mapping[str, Mapping[str, Fraction]], source: str, amount: Fraction) -> dict[str, Fraction]:
    if source not in resolved:
        return {source: amount}
    made = resolved[source]
    whole = positive(sum(made.values(), Fraction(0)), source) if amount else Fraction(1)
    return {material: part * amount / whole for material, part in made.items()}


def _refuse_overdrawn(key: str, left: Fraction, place: str) -> None:
    if left < 0:
        raise SprayoutError(
            f"cup {key!r} gave {told(-left)} more than was in it",
            "Correct what was poured into it, taken out of it or poured on from it.",
            place=place,
        )


def _in_order(cups: Mapping[str, PouredCup]) -> list[str]:
    """Return the cups so that each stands after the cups poured into it."""
    order: list[str] = []
    done: set[str] = set()
    for start in cups:
        path: dict[str, list[str]] = {start: _sources(cups, start)} if start not in done else {}
        while path:
            cup, waiting = next(reversed(path.items()))
            if not waiting:
                del path[cup]
                done.add(cup)
                order.append(cup)
                continue
            source = waiting.pop()
            if source in path:
                circle = " > ".join([*list(path)[list(path).index(source) :], source])
                raise SprayoutError(f"cups poured in a circle: {circle}", "Correct what was poured.", place=source)
            if source not in done:
                path[source] = _sources(cups, source)
    return order


def _sources(cups: Mapping[str, PouredCup], key: str) -> list[str]:
    return [source for source in cups[key].poured if source in cups]
