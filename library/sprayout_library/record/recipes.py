"""Recipes: coats from a few words, grounds, clear."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from sprayout_core.compare import Add, Change, Put, TakeAway
from sprayout_core.documents import Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.record.names import Names, NotKnown

__all__ = ["clear_from_words", "coat_from_words", "coats_anew", "recipe_facts", "thing"]

_COUNT = re.compile(
    r"(?P<count>until covered|about \d{1,2}|\d{1,2} to \d{1,2}|\d{1,2})\s+(coats?\s+(of\s+)?)?", re.IGNORECASE
)
_TAILS = (
    ("laid", re.compile(r",?\s+laid\s+(mist|medium|wet)$", re.IGNORECASE)),
    ("spray_ready", re.compile(r",?\s+through\s+([a-z0-9_-]+)$", re.IGNORECASE)),
    ("film_um", re.compile(r",?\s+(?:at\s+)?([0-9.]+)\s*(?:um|µm)$", re.IGNORECASE)),
    ("until", re.compile(r",?\s+dry\s+to\s+(touch|matt|tack-free)$", re.IGNORECASE)),
)


def thing(text: str, names: Names) -> dict[str, str]:
    """Return a material or formula by its name, as documents refer to one."""
    entry = names.find(text, "material", "formula")
    return {"kind": entry.kind, "id": entry.id}


def coat_from_words(words: str, names: Names) -> dict[str, Any]:
    """Return one line of a coat schedule from words such as "about 5 Kelp glass, through small, laid wet".

    Raises SprayoutError where there is no count, NotKnown where no formula goes by the name.
    """
    text = words.strip()
    match = _COUNT.match(text)
    if not match:
        raise SprayoutError(
            f"{words!r} does not say how many coats",
            'Begin with a count: "5 Kelp glass", "4 to 5 ...", "about 5 ...", "until covered ...".',
        )
    rest = text[match.end() :]
    coat: dict[str, Any] = {"count": match["count"].lower(), "role": "colour"}
    found = True
    while found:
        found = False
        for name, pattern in _TAILS:
            if name not in coat and (tail := pattern.search(rest)):
                coat[name] = tail[1].lower()
                rest, found = rest[: tail.start()], True
    if "until" in coat:
        coat["dry"] = {"until": coat.pop("until")}
    coat["formula"] = _mix(rest.strip(), names)
    return coat


def _mix(text: str, names: Names) -> str:
    """Return the id of a mix by its name; a stock product is told how it gets into a schedule."""
    products = [entry for entry in names.matching(text, "material") if not names.matching(text, "formula")]
    if products:
        name, role = products[0].name, products[0].role
        if role == "clear":
            remedy = f'The clear over it all: --clear "{name}".'
        else:
            remedy = f'A coat is of a mix, also one of a single product: sprayout mix "{name} neat = 1 {name}".'
        raise NotKnown(f"{name!r} is a stock product, no mix", remedy)
    return names.find(text, "formula").id


def coats_anew(held: Recipe, coats: Sequence[dict[str, Any]]) -> list[Change]:
    """Return the edit after which these coats are the whole schedule, in this order.

    A line of a mix that was there before is the same line, with what is said of it now: so a count changed in one
    shop and a new line in another both stand after a sync.
    """
    before = held.coats_in_order()
    found: list[Change] = []
    kept: list[str] = []
    place = 0
    for coat in coats:
        match = next((at for at in range(place, len(before)) if before[at][1].formula == coat["formula"]), None)
        if match is None:
            found.append(Add("coats", coat))
            place = len(before)  # what comes after a new line is new as well: the order is kept
            continue
        key, old = before[match]
        pinned = {"pinned": old.pinned} if old.pinned else {}
        found.append(Put(f"coats/{key}", coat | pinned))
        kept.append(key)
        place = match + 1
    found.extend(TakeAway(f"coats/{key}") for key, _ in before if key not in kept)
    return found


def recipe_facts(
    title: str, grounds: Sequence[str], coats: Sequence[str], clear: str | None, names: Names
) -> dict[str, Any]:
    """Return the facts of a new recipe from names and words."""
    facts: dict[str, Any] = {
        "title": title,
        "grounds": [thing(ground, names) for ground in grounds],
        "coats": [coat_from_words(words, names) for words in coats],
    }
    if clear:
        facts["clear"] = clear_from_words(clear, names)
    return facts


def clear_from_words(words: str, names: Names) -> dict[str, Any]:
    """Return the clear of a recipe from its name, or from a count and its name: "2 two-pack gloss"."""
    text = words.strip()
    match = _COUNT.match(text)
    if match and not names.matching(text, "material", "formula"):
        return {"of": thing(text[match.end() :], names), "count": match["count"].lower()}
    return {"of": thing(text, names)}
