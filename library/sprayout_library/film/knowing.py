"""What a library knows of its dyes and grounds, and trials in its own names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_core.documents import Formula, Material
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import parse_line
from sprayout_library.film.gathering import COLOURING, GRID, Gathered, gathered
from sprayout_library.film.shares import dry_shares, mix_shares, solids_known
from sprayout_library.record.formulas import mix_from_line
from sprayout_library.record.names import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Ground, Learned

__all__ = ["Known", "TrialMix", "known", "trial_mix"]


@dataclass(slots=True)
class Known:
    """What was learned, and what it was learned from."""

    learned: Learned
    gathered: Gathered

    def ground(self, identity: str, name: str) -> Ground:
        """Return a ground by its document's id. Raises SprayoutError with what to measure."""
        ground = self.gathered.grounds.get(identity)
        if ground is None:
            raise SprayoutError(
                f"the ground {name} has no reading",
                "Measure a piece of it without coats: a panel with --steps 0 and a reading of LABEL/0.",
            )
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
    """Return what the library's panels teach. Raises SprayoutError where nothing can be learned, with what to do."""
    from sprayout_core.film import learn

    found = gathered(store)
    if not found.steps:
        reasons = list(dict.fromkeys(reason for _, reason in found.left_out))
        told = f" ({reasons[0]})" if reasons else ""
        raise SprayoutError(
            f"there is nothing to learn from yet{told}",
            "Spray a step card, --steps 0,1,2,4, and take in a spectrum of each step: rows named LABEL/0, LABEL/1 ...",
        )
    import numpy as np

    hazy = tuple(sorted(found.hazy & {name for step in found.steps for name in step.shares}))
    return Known(learn(found.steps, np.array(GRID, dtype=float), scattering=hazy), found)


def trial_mix(store: Store, names: Names, knowledge: Known, text: str) -> TrialMix:
    """Return the mix of a formula's name, or of a line such as "3 weak teal : 1 strong teal".

    Raises NotKnown, Unknown, SprayoutError.
    """
    matching = names.matching(text, "formula")
    if matching:
        formula = store.get(names.find(text, "formula").id)
        assert isinstance(formula, Formula)
        wet = mix_shares(formula, store.find)
        name = formula.name
    elif any(sign in text for sign in ":;") or any(sign.isdigit() for sign in text):
        from sprayout_core.documents import Mix
        from sprayout_core.mix import composition

        facts = mix_from_line(parse_line(text), names)
        mix = Mix.model_validate(facts)
        if mix.basis == "mass":
            raise SprayoutError("a mix by mass cannot be predicted", "Write it by volume.")
        wet = composition(mix, store.find)
        name = text
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
