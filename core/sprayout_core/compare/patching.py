"""A comparison as a JSON Patch (RFC 6902), for programs that know nothing of atoms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sprayout_core.documents import Document, Json, tree

__all__ = ["patch"]


def patch(before: Document, after: Document) -> list[dict[str, Json]]:
    """Return the JSON Patch (RFC 6902) that turns one state's tree into the other's, sorted by path.

    Members are added, removed and replaced one by one; lists are replaced whole, since they have no keys.
    """
    return list(_operations(tree(before), tree(after), ""))


def _operations(before: Mapping[str, Json], after: Mapping[str, Json], path: str) -> Iterator[dict[str, Json]]:
    for name in sorted({**before, **after}):
        place = f"{path}/{_escaped(name)}"
        if name not in after:
            yield {"op": "remove", "path": place}
        elif name not in before:
            yield {"op": "add", "path": place, "value": after[name]}
        elif isinstance(before[name], dict) and isinstance(after[name], dict):
            yield from _operations(before[name], after[name], place)
        elif before[name] != after[name]:
            yield {"op": "replace", "path": place, "value": after[name]}


def _escaped(name: str) -> str:
    """Return a member's name as a reference token of a JSON Pointer (RFC 6901, section 3)."""
    return name.replace("~", "~0").replace("/", "~1")
