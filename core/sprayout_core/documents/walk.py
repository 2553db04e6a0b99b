"""Rules that hold anywhere in a plain tree: no empty members, plain names, no pointing at itself."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from sprayout_core.documents.json_value import Json
from sprayout_core.errors import Fault

__all__ = ["plain_faults", "pruned"]

#: What a member may be called. A colon stands in geometries such as 45:0.
_MEMBER = re.compile(r"[a-z0-9_./:-]{1,80}", re.ASCII)
#: Where a shop and a library may name themselves: a shop's own document was made in that shop.
_BY_ITSELF = frozenset({"provenance/shop", "provenance/derived/library"})


def pruned(plain: Mapping[str, Json]) -> Json:
    """Return a document's tree without empty members; an answer of a question may be empty and stays."""
    if not any(_has_empty(value) for name, value in plain.items() if name != "questions"):
        return plain if plain.get("questions", True) else {n: v for n, v in plain.items() if n != "questions"}
    full = {name: kept for name, value in plain.items() if not _empty(kept := _pruned(value))}
    questions = plain.get("questions")
    if isinstance(questions, dict) and questions:
        full["questions"] = questions
    return full


def _has_empty(value: Json) -> bool:
    if isinstance(value, dict):
        return not value or any(map(_has_empty, value.values()))
    if isinstance(value, list):
        return not value or (isinstance(value[0], dict | list) and any(map(_holds_empty, value)))
    return isinstance(value, str) and not value


def _holds_empty(item: Json) -> bool:
    """Return whether an item of a list holds something empty; an empty item itself stays for the model to judge."""
    return bool(item) and _has_empty(item)


def _pruned(value: Json) -> Json:
    if isinstance(value, dict):
        return {name: kept for name, item in value.items() if not _empty(kept := _pruned(item))}
    if isinstance(value, list) and value and isinstance(value[0], dict | list):
        return [_pruned(item) for item in value]
    return value


def _empty(value: Json) -> bool:
    return isinstance(value, dict | list | str) and not value


def plain_faults(plain: Mapping[str, Json]) -> list[Fault]:
    """Return a fault for each name no member may have, and for each pointer to the document itself."""
    found: list[Fault] = []
    own = plain.get("id")
    for name, value in plain.items():
        if not _is_name(name):
            found.append(_bad_name(str(name), ""))
        elif name != "id" and isinstance(value, dict | list | str):
            _look(value, name, own, found)
    return found


def _look(value: Json, place: str, own: object, found: list[Fault]) -> None:
    if isinstance(value, dict):
        for name, item in value.items():
            if not _is_name(name):
                found.append(_bad_name(str(name), f"{place}/"))
            elif name == own:
                found.append(_itself(f"{place}/{name}"))
            elif isinstance(item, dict | list) or item == own:
                _look(item, f"{place}/{name}", own, found)
    elif isinstance(value, list):
        if value and isinstance(value[0], dict | list | str):
            for number, item in enumerate(value):
                _look(item, f"{place}/{number}", own, found)
    elif value == own and place not in _BY_ITSELF:
        found.append(_itself(place))


@lru_cache(maxsize=4096)
def _is_name(name: object) -> bool:
    return isinstance(name, str) and _MEMBER.fullmatch(name) is not None


def _bad_name(name: str, prefix: str) -> Fault:
    return Fault(f"{prefix}{name[:40]}", "no name for a member", "Use a to z, 0 to 9 and _ . / : - in it.")


def _itself(place: str) -> Fault:
    return Fault(place, "points at the document itself", "Name another document, or take it out.")
