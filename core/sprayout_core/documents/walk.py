"""Rules that hold anywhere in a plain tree: no empty members, plain names, no pointing at itself."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from sprayout_core.documents.values import Json
from sprayout_core.errors import Fault

__all__ = ["plain_faults", "pruned"]

#: What a member may be called. A colon stands in geometries such as 45:0.
_MEMBER = re.compile(r"[a-z0-9_./:-]{1,80}", re.ASCII)


#: Where a shop and a library may name themselves: a shop's own document was made in that shop.
_BY_ITSELF = frozenset({"provenance/shop", "provenance/derived/library"})


def pruned(plain: Mapping[str, Json]) -> Json:
    """Return a document's tree without empty members; an answer of a question may be empty and stays."""
    full = {name: kept for name, value in plain.items() if not _empty(kept := _pruned(value))}
    questions = plain.get("questions")
    if isinstance(questions, dict) and questions:
        full["questions"] = questions
    return full


def _pruned(value: Json) -> Json:
    if isinstance(value, dict):
        return {name: kept for name, item in value.items() if not _empty(kept := _pruned(item))}
    if isinstance(value, list) and value and isinstance(value[0], dict | list):
        return [_pruned(item) for item in value]
    return value


def _empty(value: Json) -> bool:
    return isinstance(value, dict | list | str) and not value


def plain_faults(plain: Mapping[str, Json]) -> Iterator[Fault]:
    """Yield a fault for each name no member may have, and for each pointer to the document itself."""
    own = plain.get("id")
    for name, value in plain.items():
        if not isinstance(name, str) or not _MEMBER.fullmatch(name):
            yield _bad_name(str(name), "")
        elif name != "id" and isinstance(value, dict | list | str):
            yield from _inner(value, name, own)


def _inner(value: Json, place: str, own: object) -> Iterator[Fault]:
    if isinstance(value, dict):
        for name, item in value.items():
            if not isinstance(name, str) or not _MEMBER.fullmatch(name):
                yield _bad_name(str(name), f"{place}/")
            elif name == own:
                yield _itself(f"{place}/{name}")
            elif isinstance(item, dict | list | str):
                yield from _inner(item, f"{place}/{name}", own)
    elif isinstance(value, list):
        for number, item in enumerate(value):
            if not isinstance(item, dict | list | str):
                break
            yield from _inner(item, f"{place}/{number}", own)
    elif value == own and place not in _BY_ITSELF:
        yield _itself(place)


def _bad_name(name: str, prefix: str) -> Fault:
    return Fault(f"{prefix}{name[:40]}", "no name for a member", "Use a to z, 0 to 9 and _ . / : - in it.")


def _itself(place: str) -> Fault:
    return Fault(place, "points at the document itself", "Name another document, or take it out.")
