"""Renaming the unpublished edits of a copied library, so that two copies never share a dot."""

from __future__ import annotations

from collections.abc import Mapping

from sprayout_core.documents import Json, dot

__all__ = ["renamed"]


def renamed(tree: Mapping[str, Json], old: str, new: str, published: int) -> dict[str, Json]:
    """Return a document's tree with the edits of copy `old` after number `published` made by `new` instead.

    Numbers are kept, counted from one after what is published; what others have seen of `old` stays.
    """
    names = {}
    last = tree["seen"].get(old, 0)
    for number in range(published + 1, last + 1):
        names[dot(old, number)] = dot(new, number - published)
    changed: dict[str, Json] = _with_names(dict(tree), names)
    seen = dict(changed["seen"])
    if last > published:
        seen[new] = max(seen.get(new, 0), last - published)
        if published:
            seen[old] = published
        else:
            seen.pop(old, None)
    changed["seen"] = seen
    if "withdrawn" in changed:
        changed["withdrawn"] = _renumbered(changed["withdrawn"], old, new, published)
    return changed


def _renumbered(seen: Mapping[str, int], old: str, new: str, published: int) -> dict[str, int]:
    known = dict(seen)
    last = known.get(old, 0)
    if last > published:
        known[new] = max(known.get(new, 0), last - published)
        if published:
            known[old] = published
        else:
            del known[old]
    return known


def _with_names(value: Json, names: Mapping[str, str]) -> Json:
    if isinstance(value, dict):
        return {_name(key, names): _with_names(item, names) for key, item in value.items()}
    if isinstance(value, list):
        return [_with_names(item, names) for item in value]
    return names.get(value, value) if isinstance(value, str) else value


def _name(key: str, names: Mapping[str, str]) -> str:
    if key in names:
        return names[key]
    member, slash, last = key.partition("/")
    return f"{member}/{names[last]}" if slash and last in names else key
