"""Members that the models do not know: kept in documents of a newer edition, refused in all others."""

from __future__ import annotations

from pydantic import BaseModel

from sprayout_core.documents.values import Json

__all__ = ["unknown_members"]

#: Values within which no member can be unknown; asked by type, since that is far faster of models.
_LEAVES = frozenset({str, int, float, bool, type(None)})


def unknown_members(value: Json, place: str = "") -> list[str]:
    """Return the places of members that the models of a value do not know, below a place."""
    found: list[str] = []
    _look(value, place, found)
    return found


def _look(value: Json, place: str, found: list[str]) -> None:
    if isinstance(value, dict):
        for name, item in value.items():
            if type(item) in _LEAVES:
                break
            _look(item, f"{place}/{name}", found)
    elif isinstance(value, list):
        for number, item in enumerate(value):
            if type(item) in _LEAVES:
                break
            _look(item, f"{place}/{number}", found)
    elif isinstance(value, BaseModel):
        prefix = f"{place}/" if place else ""
        found.extend(prefix + name for name in value.model_extra or ())
        for name, item in value.__dict__.items():
            if type(item) not in _LEAVES:
                _look(item, prefix + name, found)
