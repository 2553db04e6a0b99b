"""Cautions that materials carry, as blocks for a page and in a few words for a label; they always defer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sprayout_core.mix.cautions import DEFER_TO, caution_text
from sprayout_core.mix.cautions import Caution as Kind

__all__ = ["DEFER", "CautionBlock", "cautions_for", "short_caution"]

DEFER = f"This page tells about colour and film only, not how to work. {DEFER_TO}"
_DEFER_SHORT = "Read the safety data sheet; local codes and licensed practice apply."

_WORDS = frozenset(kind.value for kind in Kind)
_TITLES: Mapping[Kind, str] = {
    Kind.ISOCYANATE: "Two-pack, isocyanate",
    Kind.SOLVENT: "Solvent",
    Kind.WATERBORNE: "Water-borne",
    Kind.DUST: "Dust",
    Kind.SKIN: "Skin and eyes",
    Kind.SPRAY_MIST: "Spraying",
    Kind.SEE_SHEET: "Further hazards",
}

_SHORT: Mapping[Kind, str] = {
    Kind.ISOCYANATE: "TWO-PACK, ISOCYANATE: air-fed protection, trained people.",
    Kind.SOLVENT: "SOLVENT: burns. No flame or spark; extraction on.",
    Kind.WATERBORNE: "WATER-BORNE: not harmless.",
    Kind.DUST: "FINE DUST: do not breathe.",
    Kind.SKIN: "SKIN, EYES: cover.",
    Kind.SPRAY_MIST: "SPRAYING: booth, breathing, eye and skin protection.",
    Kind.SEE_SHEET: "FURTHER HAZARDS in its data sheet.",
}


@dataclass(frozen=True, slots=True)
class CautionBlock:
    """One caution: what it is about, its sentences, and the materials that carry it.

    short  the same in a few words, for a label
    """

    about: str
    sentences: tuple[str, ...]
    carried_by: tuple[str, ...] = ()
    short: str = ""


def cautions_for(carried: Mapping[str, Iterable[str]]) -> tuple[CautionBlock, ...]:
    """Return the caution blocks of a page: the general ones in a fixed order, then the shop's own sentences.

    carried  material's name to what its record carries: a word such as "isocyanate", or a sentence

    Spraying is always among them, whatever the records say. A shop's own sentences are given unchanged,
    under the material's name; nothing is derived from them.
    """
    carriers: dict[Kind, list[str]] = {kind: [] for kind in Kind}
    own: list[CautionBlock] = []
    for name, words in carried.items():
        said: list[str] = []
        for word in words:
            if word in _WORDS:
                carriers[Kind(word)].append(name)
            elif word.strip():
                said.append(word.strip())
        if said:
            own.append(CautionBlock(name, tuple(said), (name,), f"{name}: {' '.join(said)}"))
    general = [
        CautionBlock(_TITLES[kind], caution_text(kind), tuple(dict.fromkeys(names)), _SHORT[kind])
        for kind, names in carriers.items()
        if names or kind is Kind.SPRAY_MIST
    ]
    return (*general, *own)


def short_caution(cautions: Iterable[CautionBlock]) -> str:
    """Return the cautions of a label in one short text that ends by deferring to the data sheet."""
    return " ".join((*(block.short or " ".join(block.sentences) for block in cautions), _DEFER_SHORT))
