"""The make-up of a dry film: a mix as it was sprayed, flattened, each material by its volume solids."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from fractions import Fraction

from sprayout_core.documents import Document, Find, Formula, Material, MissingDocument, Panel, resolve
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import composition, density
from sprayout_core.ratio import exact
from sprayout_library.record.cups import Shelf, pinned_find
from sprayout_library.store import Store

__all__ = ["Sprayed", "dry_shares", "mix_shares", "solids_known", "sprayed_shares"]


class Sprayed:
    """What panels were really sprayed with: by their cup, else by the version they pinned, else by its ratios.

    Cups and earlier versions are read when the first of them is asked for, and only once.
    """

    def __init__(self, store: Store) -> None:
        """Take the library."""
        self._store = store
        self._shelf: Shelf | None = None
        self._versions: dict[tuple[str, str, str | None], Formula | None] = {}

    def shares(self, panel: Panel, formula: Formula) -> dict[str, Fraction]:
        """Return {material id: share by volume} of the one mix a panel was sprayed with. Raises SprayoutError."""
        coats = panel.coats or []
        held = self._held({coat.batch for coat in coats})
        if held is not None:
            return held
        find = self._as_pinned(panel.proofs or {}, formula.id, coats[0].spray_ready if coats else None)
        version = find(formula.id)
        if isinstance(version, Formula):
            try:
                return mix_shares(version, find)
            except MissingDocument:
                pass  # a mix inside it is not here as it was sprayed: its pinned ratio says as much
        return sprayed_shares(formula, panel.poured or {}, self._store.find)

    def _held(self, batches: Collection[str | None]) -> dict[str, Fraction] | None:
        """Return what was really in the one cup sprayed from; None where nobody can tell.

        That is where no cup is named, or several; where it is not here; or where grams have no density.
        """
        key = next(iter(batches)) if len(batches) == 1 else None
        if key is None:
            return None
        self._shelf = self._shelf or Shelf(self._store)
        if key not in self._shelf.batches:
            return None
        try:
            amounts = self._shelf.contents(key)
            if self._shelf.unit(key) == "g":
                amounts = {one: amount / density(resolve(one, self._store.find)) for one, amount in amounts.items()}
        except SprayoutError:
            return None
        whole = sum(amounts.values())
        return {one: amount / whole for one, amount in amounts.items() if amount} if whole else None

    def _as_pinned(self, proofs: Mapping[str, str], formula: str, variant: str | None) -> Find:
        look = pinned_find(self._store, proofs, formula, variant)

        def find(name: str) -> Document | None:
            if name not in proofs:
                return self._store.find(name)
            key = (name, proofs[name], variant if name == formula else None)
            if key not in self._versions:
                version = look(name)
                self._versions[key] = version if isinstance(version, Formula) else None
            return self._versions[key]

        return find


def sprayed_shares(
    formula: Formula, poured: Mapping[str, Mapping[str, int]], find: Find, path: tuple[str, ...] = ()
) -> dict[str, Fraction]:
    """Return {material id: share by volume} of a formula in the ratios that a panel pinned.

    A formula the panel pinned no ratio of counts as it stands now. Raises SprayoutError for mixes by mass, whose
    ratios say nothing of volumes without densities, and what `composition` raises.
    """
    if formula.id in path:
        raise SprayoutError("a mix contains itself")
    ratio = poured.get(formula.id)
    if not ratio:
        return mix_shares(formula, find)
    if formula.mix is None or formula.mix.basis == "mass":
        raise SprayoutError(f"{formula.name} is by mass: its film is not known without densities as sprayed")
    if any(item.g_per_l is not None for item in (formula.mix.items or {}).values()):
        raise SprayoutError(f"{formula.name} holds grams per litre, and the version that was sprayed is not here")
    flat: dict[str, Fraction] = {}
    total = sum(ratio.values())
    for key, parts in ratio.items():
        document = resolve(key, find)
        share = Fraction(parts, total)
        if isinstance(document, Formula):
            inner = sprayed_shares(document, poured, find, (*path, formula.id))
        else:
            inner = {key: Fraction(1)}
        for material, part in inner.items():
            flat[material] = flat.get(material, Fraction(0)) + share * part
    return flat


def mix_shares(formula: Formula, find: Find) -> dict[str, Fraction]:
    """Return {material id: share by volume} of a formula as it stands. Raises SprayoutError for a mix by mass."""
    if formula.mix is not None and formula.mix.basis == "mass":
        raise SprayoutError(f"{formula.name} is by mass: write it by volume to predict it")
    return composition(formula, find)


def solids_known(materials: Mapping[str, object], find: Find) -> bool:
    """Return whether the volume solids of every material are known, reducers aside."""
    found = (find(key) for key in materials)
    return all(
        isinstance(one, Material) and (one.role == "reducer" or one.volume_solids_percent is not None) for one in found
    )


def dry_shares(wet: Mapping[str, Fraction], find: Find) -> dict[str, Fraction]:
    """Return the shares of the dry film: by volume solids where all are known, else as if they were equal.

    A reducer has no solids, by role.
    """
    known = solids_known(wet, find)
    dry: dict[str, Fraction] = {}
    for key, share in wet.items():
        material = find(key)
        if isinstance(material, Material) and material.role == "reducer":
            continue
        solids = Fraction(1)
        if known and isinstance(material, Material) and material.volume_solids_percent is not None:
            solids = exact(material.volume_solids_percent) / 100
        dry[key] = share * solids
    total = sum(dry.values())
    if not total:
        raise SprayoutError("a mix without any solids leaves no film")
    return {key: part / total for key, part in dry.items()}
