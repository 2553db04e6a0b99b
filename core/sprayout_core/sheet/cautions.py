"""Cautions that materials carry, in words that defer to the data sheet, local codes and licensed practice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

__all__ = ["DEFER", "USUAL", "Caution", "cautions_for", "short_caution"]

# General cautions in our own words; the facts are those of public guidance on spraying isocyanate paint
# and of US 40 CFR 63 subpart HHHHHH. They name hazards and usual practice; they decide nothing.
USUAL: Mapping[str, tuple[str, ...]] = {
    "two_pack": (
        "Two-pack, often with isocyanate hardener: mist, vapour or skin contact can bring on lasting asthma. "
        "Anyone already sensitised stays away from it altogether.",
        "A filter mask is not enough for spraying it. Trained people, extraction, and air-fed "
        "breathing protection that stays on until the booth's measured clearing time has passed, also while "
        "cleaning the gun.",
    ),
    "solvent": (
        "Solvent: the vapour burns, is heavier than air and gathers low. No flame, spark or smoking; bond "
        "cans and gun against static; extraction on.",
        "Gloves and eye cover as the data sheet names them. Wet rags into a closed metal bin, waste and wash "
        "solvent by a licensed route, never down a drain.",
    ),
    "spraying": (
        "Spraying: most of the mist cannot be seen, and it hangs after the gun stops. Booth or extraction, "
        "breathing, eye and skin protection as the data sheet names them; nobody unprotected nearby, "
        "children and animals out; clean the gun without atomising.",
    ),
}

_TITLES: Mapping[str, str] = {"two_pack": "Two-pack", "solvent": "Solvent", "spraying": "Spraying"}

_SHORT: Mapping[str, str] = {
    "two_pack": "TWO-PACK, often isocyanate: air-fed protection, trained people.",
    "solvent": "SOLVENT: burns. No flame or spark; extraction on.",
    "spraying": "SPRAYING: booth, breathing, eye and skin protection.",
}

DEFER = (
    "This tells about colour and film only, not how to work. Read the current safety data sheet of every "
    "product; follow local codes and licensed practice. Where they differ from this, they are right."
)
_DEFER_SHORT = "Read the safety data sheet; follow local codes."


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: what it is about, its sentences, and the materials that carry it.

    short  the same in a few words, for a label
    """

    about: str
    sentences: tuple[str, ...]
    carried_by: tuple[str, ...] = ()
    short: str = ""


def cautions_for(carried: Mapping[str, Iterable[str]]) -> tuple[Caution, ...]:
    """Return the cautions of a sheet or label: two-pack, solvent, spraying, then each material's own words.

    carried  material's name to what its record carries: `two_pack`, `solvent`, `spraying`, or a sentence

    Spraying is always among them, whatever the records say. A material's own sentences are given unchanged,
    under its name; nothing is derived from them.
    """
    carriers: dict[str, list[str]] = {kind: [] for kind in USUAL}
    own: list[Caution] = []
    for name, words in carried.items():
        said: list[str] = []
        for word in words:
            if word in carriers:
                carriers[word].append(name)
            elif word.strip():
                said.append(word.strip())
        if said:
            own.append(Caution(name, tuple(said), (name,), f"{name}: {' '.join(said)}"))
    usual = [
        Caution(_TITLES[kind], USUAL[kind], tuple(dict.fromkeys(names)), _SHORT[kind])
        for kind, names in carriers.items()
        if names or kind == "spraying"
    ]
    return (*usual, *own)


def short_caution(cautions: Iterable[Caution]) -> str:
    """Return the cautions of a label in one short text that ends by deferring to the data sheet."""
    return " ".join((*(caution.short or " ".join(caution.sentences) for caution in cautions), _DEFER_SHORT))
