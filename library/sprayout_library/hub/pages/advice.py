"""What to do, told at a page: advice that names a command or its options becomes the page where that is done."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["Advice", "advice"]

#: A command, not the program by its name; an option; what stands in brackets and names one of them.
_COMMAND = re.compile(r"\bsprayout\s+(?!(?:to|first|wrote|speaks|itself|is|was|of|and|or)\b)([a-z][a-z-]*)")
_OPTION = re.compile(r"(?<![\w-])--[a-z]")
_ASIDE = re.compile(r"\s*\([^()]*(?:\bsprayout\s|(?<![\w-])--[a-z])[^()]*\)")
#: Where one thing that can be done ends and another begins.
_SENTENCE = re.compile(r"(?<=[.;])\s+(?=[A-Z])")
_CLAUSE = re.compile(r"(?<=[:;,])\s+|\s+(?=(?:or|and)\b)")
#: Words that say nothing once the command behind them is gone.
_IDLE = re.compile(r"(?:see|begin|or|and|if it stays|(?:for|where)\s.*)[:;,.]?", re.IGNORECASE)

#: Commands and where a page does the same: address, what stands on the link.
_PAGES = {
    "answers": ("/share/answers", "Choose between two answers"),
    "card": ("/look/card", "A picture of a card"),
    "cup": ("/pour", "Cups and pouring"),
    "formula": ("/mix", "Mixes"),
    "import": ("/look/readings", "Take a table of readings in"),
    "judge": ("/look", "The wall"),
    "list": ("/find", "Find"),
    "material": ("/mix", "Mixes and materials"),
    "mix": ("/mix", "Mixes"),
    "panel": ("/spray/new", "Spray pieces"),
    "picture": ("/look/pictures", "Pictures"),
    "pour": ("/pour", "Pour"),
    "recipe": ("/mix", "Recipes"),
    "shelf": ("/pour/shelf", "My shelf"),
    "stock": ("/look/stock", "The stock wall"),
    "spray": ("/spray", "Spray"),
}


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, without a command, and the pages where it is done: address within the library, word."""

    words: str
    pages: tuple[tuple[str, str], ...] = ()


@lru_cache(maxsize=2_000)
def advice(text: str) -> Advice:
    """Return what a remedy or a remark says to somebody who has no command line, and the pages that do it.

    Clauses that name a command or an option are left away with what follows them in their sentence; where a page does
    what the command does, it stands instead.
    """
    if not (_COMMAND.search(text) or _OPTION.search(text)):
        return Advice(text)
    pages = [_PAGES[one[1]] for one in _COMMAND.finditer(text) if one[1] in _PAGES]
    kept = [said for sentence in _SENTENCE.split(_ASIDE.sub("", text)) if (said := _without(sentence))]
    return Advice(" ".join(kept), tuple(dict.fromkeys(pages)))


def _without(sentence: str) -> str:
    """Return a sentence up to its first clause that names a command or an option."""
    if not (_COMMAND.search(sentence) or _OPTION.search(sentence)):
        return sentence
    kept: list[str] = []
    for clause in _CLAUSE.split(sentence):
        if _COMMAND.search(clause) or _OPTION.search(clause):
            break
        kept.append(clause)
    while kept and _IDLE.fullmatch(kept[-1].strip()):
        kept.pop()
    said = " ".join(kept).rstrip(" :;,.`")
    return f"{said}." if said else ""
