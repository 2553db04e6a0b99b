"""Cups on the shelf: what is left in each and of what, through any chain of cups poured on from one another."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, TypeVar

from sprayout_core.documents import resolve
from sprayout_core.documents.which import is_batch, is_formula, is_material
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import PouredCup, as_sprayed, by_mass, composition, contents, left_in, remainders
from sprayout_core.mix import density as density_of_material
from sprayout_core.ratio import exact
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.documents import Batch, Document, Find, Formula, Poured, TakenOut

Told = TypeVar("Told")

__all__ = ["Shelf", "catalysed", "pinned_find", "shares_of"]


def pinned_find(store: Store, pinned: Mapping[str, str], formula: str, variant: str | None) -> Find:
    """Return a way to find documents in which each pinned formula is the version that was pinned.

    pinned   formula id to its proof; `formula` is pinned as sprayed through `variant`, the others as mixed

    A version that this library does not have is not found: whoever asks is told that it is missing.
    """
    held: dict[str, Document | None] = {}

    def find(name: str) -> Document | None:
        if name not in pinned:
            return store.find(name)
        if name not in held:
            held[name] = _pinned(store, name, pinned[name], variant if name == formula else None)
        return held[name]

    return find


def _pinned(store: Store, name: str, proof: str, variant: str | None) -> Formula | None:
    now = store.find(name)
    if _proves(now, proof, variant):
        assert is_formula(now)
        return now
    for version in store.history(name):
        then = store.at(version.commit, name)
        if _proves(then, proof, variant):
            assert is_formula(then)
            return then
    return None


def _proves(document: Document | None, proof: str, variant: str | None) -> bool:
    from sprayout_core.documents import proof as proof_of

    if not is_formula(document):
        return False
    try:
        return proof_of(document, variant) == proof
    except SprayoutError:
        return False


def shares_of(formula: Formula, find: Find, variant: str | None, unit: str) -> dict[str, Fraction]:
    """Return the exact shares by material of a mix ready for the gun, by volume ("ml") or by mass ("g").

    Raises what `composition` raises, and NeedsDensity where one measure must be turned into the other.
    """
    flat = as_sprayed(formula, find, variant) if variant else composition(formula, find)
    basis = "ml" if formula.mix is None or formula.mix.basis == "volume" else "g"
    if basis == unit:
        return flat
    if unit == "g" and not variant:
        return by_mass(formula, find)
    turned = {}
    for key, share in flat.items():
        known = density_of_material(resolve(key, find))
        turned[key] = share * known if unit == "g" else share / known
    whole = sum(turned.values(), Fraction(0))
    return {key: value / whole for key, value in turned.items()}


@dataclass(frozen=True, slots=True)
class _Chain:
    """The cups that were ever poured into one another, told in one unit."""

    unit: str
    cups: Mapping[str, PouredCup]


class Shelf:
    """Every cup of a library; amounts are exact and derived each time, never kept.

    A cup's unit is that of its whole chain: millilitres where all of it was measured so, else grams.
    """

    def __init__(self, store: Store, more: Iterable[Batch] = ()) -> None:
        """Read the cups of a library, with `more` that are not saved yet, each in the place of one of its id."""
        self.store = store
        self.batches: dict[str, Batch] = {}
        for one in store.documents("batch"):
            if is_batch(one) and not one.withdrawn:
                self.batches[one.id] = one
        self.batches.update({one.id: one for one in more})
        self._groups = self._connected()
        self._chains: dict[str, _Chain] = {}

    def unit(self, cup: str) -> str:
        """Return "ml" or "g": what this cup and all it was poured with are counted in."""
        return self._chain(cup).unit

    def poured(self, cup: str) -> Fraction:
        """Return all that was ever poured into a cup, in its unit."""
        return sum(self._chain(cup).cups[cup].poured.values(), Fraction(0))

    def left(self, cup: str) -> Fraction:
        """Return what is left in a cup, in its unit. Raises SprayoutError where it gave more than was in it."""
        return self._named(lambda cups: remainders(cups)[cup], cup)

    def contents(self, cup: str) -> dict[str, Fraction]:
        """Return the materials ever poured into a cup, leftovers in it resolved, in its unit."""
        return self._named(lambda cups: contents(cups, cup), cup)

    def left_in(self, cup: str) -> dict[str, Fraction]:
        """Return the materials still in a cup, in its unit; empty when it is."""
        return self._named(lambda cups: left_in(cups, cup), cup)

    def meant(self, batch: Batch, unit: str | None = None) -> dict[str, Fraction]:
        """Return the shares that were meant: the formula as it was when this cup was poured, ready for its gun."""
        find = pinned_find(self.store, batch.proofs, batch.formula, batch.spray_ready)
        formula = find(batch.formula)
        if not is_formula(formula):
            raise SprayoutError(
                "the version of the mix this cup was poured from is not here", "Sync with the shop that poured it."
            )
        return shares_of(formula, find, batch.spray_ready, unit or self.unit(batch.id))

    def off(self, batch: Batch) -> tuple[str, Fraction] | None:
        """Return the material furthest from what was meant and by how much of itself; None where nothing is off.

        A share of 1/20 is 5 % too much, below zero it is too little. What does not belong in at all counts as 1.
        """
        meant, held = self.meant(batch), self.contents(batch.id)
        whole = sum(held.values(), Fraction(0))
        worst: tuple[str, Fraction] | None = None
        for key in sorted(meant.keys() | held.keys()):
            share = held.get(key, Fraction(0)) / whole
            off = (share - meant[key]) / meant[key] if meant.get(key) else Fraction(1)
            if off and (worst is None or abs(off) > abs(worst[1])):
                worst = (key, off)
        return worst

    def _named(self, ask: Callable[[Mapping[str, PouredCup]], Told], cup: str) -> Told:
        """Ask about a chain; what is wrong in it is told by the labels of its cups."""
        cups = self._chain(cup).cups
        try:
            return ask(cups)
        except SprayoutError as error:
            told = str(error.fault.problem)
            for key, batch in self.batches.items():
                told = told.replace(key, batch.label or f"…{key[-6:]}")
            raise SprayoutError(told, error.fault.remedy) from None

    def _chain(self, cup: str) -> _Chain:
        if cup not in self.batches:
            raise SprayoutError("no such cup on the shelf", "See `sprayout cup` for those there are.")
        group = self._groups[cup]
        if group not in self._chains:
            self._chains[group] = self._told([key for key, other in self._groups.items() if other == group])
        return self._chains[group]

    def _connected(self) -> dict[str, str]:
        """Return for every cup the least id among those connected with it by pouring."""
        group = {key: key for key in self.batches}

        def top(key: str) -> str:
            while group[key] != key:
                group[key] = group[group[key]]
                key = group[key]
            return key

        for key, batch in self.batches.items():
            for poured in batch.poured:
                if poured.kind == "batch" and poured.id in group:
                    first, second = sorted((top(key), top(poured.id)))
                    group[second] = first
        return {key: top(key) for key in group}

    def _told(self, keys: list[str]) -> _Chain:
        amounts: list[Poured | TakenOut] = []
        for key in keys:
            amounts += [*self.batches[key].poured, *self._taken(key)]
        unit = "ml" if all(one.amount_ml is not None for one in amounts) else "g"
        cups = {}
        for key in keys:
            batch = self.batches[key]
            poured: dict[str, Fraction] = {}
            for one in batch.poured:
                poured[one.id] = poured.get(one.id, Fraction(0)) + self._in(unit, one.amount_ml, one.amount_g, one.id)
            taken = [self._in(unit, one.amount_ml, one.amount_g, key) for one in self._taken(key)]
            cups[key] = PouredCup(poured, sum(taken, Fraction(0)))
        return _Chain(unit, cups)

    def _taken(self, key: str) -> list[TakenOut]:
        return list((self.batches[key].taken_out or {}).values())

    def _in(self, unit: str, ml: str | None, g: str | None, of: str) -> Fraction:
        if unit == "ml":
            return exact(ml or "0")
        return exact(g) if g is not None else exact(ml or "0") * self.density(of)

    def density(self, of: str, path: tuple[str, ...] = ()) -> Fraction:
        """Return g/ml of a material or of what was poured into a cup. Raises NeedsDensity."""
        batch = self.batches.get(of)
        if batch is None:
            document = resolve(of, self.store.find)
            if is_material(document):
                return density_of_material(document)
            raise SprayoutError(
                f"{document.name} is taken out of use", "Bring it back: sprayout withdraw --bring-back."
            )
        if of in path:
            raise SprayoutError("cups are poured in a circle", "Correct what was poured.")
        grams, ml = Fraction(0), Fraction(0)
        for one in batch.poured:
            known = self.density(one.id, (*path, of))
            grams += exact(one.amount_g) if one.amount_g is not None else exact(one.amount_ml or "0") * known
            ml += exact(one.amount_ml) if one.amount_ml is not None else exact(one.amount_g or "0") / known
        return grams / ml


def catalysed(batch: Batch, shelf: Shelf) -> bool:
    """Return whether hardener is in a cup: as said, or because one with hardener was poured in."""
    seen: set[str] = set()
    waiting = [batch]
    while waiting:
        one = waiting.pop()
        if one.id in seen:
            continue
        seen.add(one.id)
        if one.catalysed == "yes":
            return True
        for poured in one.poured:
            other = shelf.batches.get(poured.id)
            material = shelf.store.find(poured.id) if other is None else None
            if is_material(material) and material.role == "hardener":
                return True
            waiting.extend([other] if other else [])
    return False
