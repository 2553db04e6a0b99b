"""What a library knows of its dyes and grounds, and trials in its own names."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from sprayout_core.documents import Formula, Material
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import parse_line
from sprayout_library.film.gathering import COLOURING, GRID, Gathered, gathered
from sprayout_library.film.keeping import keep, kept, key_of
from sprayout_library.film.keyed import keyed_grounds
from sprayout_library.film.shares import dry_shares, mix_shares, solids_known
from sprayout_library.film.spelled import gathered_from, learned_from, spelled_gathered, spelled_learned
from sprayout_library.record.formulas import mix_from_line
from sprayout_library.record.names import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Ground, Learned, PanelStep

__all__ = ["Known", "TrialMix", "known", "known_without", "trial_mix"]

#: What is gathered depends on documents of these kinds and on no others.
_GATHERED = ("panel", "reading", "formula", "material", "batch")


@dataclass(slots=True)
class Known:
    """What was learned, what it was learned from, and the shop that asks (its own film counts); "" where unknown.

    missing  what to spray for a keyed ground, by the id of its formula, where it cannot be computed from its parts
    """

    learned: Learned
    gathered: Gathered
    shop: str = ""
    missing: Mapping[str, str] = field(default_factory=dict)

    def ground(self, identity: str, name: str) -> Ground:
        """Return a ground by its document's id. Raises SprayoutError with what to measure."""
        ground = self.gathered.grounds.get(identity)
        if ground is None:
            remedy = "Measure a piece of it without coats (a panel with --steps 0) and name its reading LABEL/0."
            if identity in self.missing:
                remedy += f" Or let it be computed from its parts. {self.missing[identity]}"
            raise SprayoutError(f"the ground {name} has no reading", remedy)
        return ground

    def geometries(self) -> list[str]:
        """Return the geometries that steps were read in, the commonest first."""
        count: dict[str, int] = {}
        for step in self.gathered.steps:
            count[step.geometry] = count.get(step.geometry, 0) + 1
        return sorted(count, key=lambda name: (-count[name], name))


@dataclass(frozen=True, slots=True)
class TrialMix:
    """A mix to be predicted: its name, the share of each colouring material in its dry film, what is assumed."""

    name: str
    shares: dict[str, float]
    notes: tuple[str, ...]


def known(store: Store) -> Known:
    """Return what the library's panels teach, as far as possible from what this machine kept of it.

    Raises SprayoutError where nothing can be learned, with what to do.
    """
    found = _gathered(store)
    return _with_keyed(store, found, _learned(found.steps, found))


def known_without(store: Store, panels: Collection[str]) -> Known:
    """Return what all panels but some (ids) teach: the old lot's panels, where a new lot is judged by its own.

    Raises SprayoutError where nothing can be learned from the others.
    """
    found = _gathered(store)
    left = {found.called[panel] for panel in panels if panel in found.called}
    return _with_keyed(store, found, _learned([step for step in found.steps if step.panel not in left], found))


def _with_keyed(store: Store, found: Gathered, learned: Learned) -> Known:
    keyed = keyed_grounds(store, found, learned)
    found.grounds.update(keyed.grounds)
    return Known(learned, found, _shop(store), keyed.missing)


def _shop(store: Store) -> str:
    shop = store.facts.get("shop")
    return shop if isinstance(shop, str) else ""


def _gathered(store: Store) -> Gathered:
    """Return what was gathered: kept under the very documents it comes from."""
    digest = hashlib.sha256()
    for kind in _GATHERED:
        for name, blob in sorted(store.blobs(kind)):
            digest.update(f"{name} {blob}\n".encode())
    key = key_of(b"gathered", digest.digest())
    with suppress(KeyError, TypeError, ValueError, SprayoutError):
        if (there := kept(key)) is not None:
            return gathered_from(*there)
    found = gathered(store)
    keep(key, *spelled_gathered(found))
    return found


def _learned(steps: Sequence[PanelStep], found: Gathered) -> Learned:
    """Return what steps teach: kept under the steps themselves, so that a word changed elsewhere costs nothing."""
    from sprayout_core.film import learn

    if not steps:
        reasons = list(dict.fromkeys(reason for _, reason in found.left_out))
        told = f" ({reasons[0]})" if reasons else ""
        raise SprayoutError(
            f"there is nothing to learn from yet{told}",
            "Spray a step card (--steps 0,1,2,4) and take in a spectrum of each step: rows named LABEL/0, LABEL/1 ...",
        )
    import numpy as np

    hazy = tuple(sorted(found.hazy & {name for step in steps for name in step.shares}))
    facts, arrays = spelled_gathered(Gathered(steps=list(steps), hazy=set(hazy)))
    key = key_of(b"learned", json.dumps(facts, sort_keys=True).encode(), arrays["rows"].tobytes())
    with suppress(KeyError, TypeError, ValueError):
        if (there := kept(key)) is not None:
            return learned_from(*there)
    learned = learn(steps, np.array(GRID, dtype=float), scattering=hazy)
    keep(key, *spelled_learned(learned))
    return learned


def trial_mix(store: Store, names: Names, knowledge: Known, text: str) -> TrialMix:
    """Return the mix of a formula's name, of a line such as "3 weak teal : 1 strong teal", or of a dye neat.

    Raises NotKnown, Unknown, SprayoutError.
    """
    matching = names.matching(text, "formula")
    if matching:
        formula = store.get(names.find(text, "formula").id)
        assert isinstance(formula, Formula)
        wet = mix_shares(formula, store.find)
        name = formula.name
    elif not names.matching(text, "material") and (
        any(sign in text for sign in ":;") or any(sign.isdigit() for sign in text)
    ):
        from sprayout_core.documents import Mix
        from sprayout_core.mix import composition

        facts = mix_from_line(parse_line(text), names)
        mix = Mix.model_validate(facts)
        if mix.basis == "mass":
            raise SprayoutError("a mix by mass cannot be predicted", "Write it by volume.")
        wet = composition(mix, store.find)
        name = text
    elif names.matching(text, "material"):
        neat = names.find(text, "material")
        wet = {neat.id: Fraction(1)}
        name = f"{neat.name} neat"
    else:
        wet = mix_shares(_as_formula(store, names, text), store.find)
        name = text
    dry = dry_shares(wet, store.find)
    colouring = {}
    for key, share in dry.items():
        material = store.find(key)
        if isinstance(material, Material) and material.role in COLOURING:
            colouring[knowledge.gathered.name(material)] = float(share)
    notes = () if solids_known(wet, store.find) else ("volume solids are not all known: taken as equal",)
    if not colouring:
        raise SprayoutError(f"nothing in {name} colours", "Name a mix with a dye or a pearl in it.")
    return TrialMix(name, colouring, notes)


def _as_formula(store: Store, names: Names, text: str) -> Formula:
    document = store.get(names.find(text, "formula").id)
    assert isinstance(document, Formula)
    return document
