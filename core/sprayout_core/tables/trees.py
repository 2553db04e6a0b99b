"""Table values as plain trees (dicts, lists, text, numbers), and strictly back: for processes that
talk in JSON.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, get_args, get_origin, get_type_hints

from sprayout_core.errors import Fault, SprayoutError
from sprayout_core.tables.differences import Differences
from sprayout_core.tables.preview import Preview, RowLeftOut
from sprayout_core.tables.reading import TableReading, WrittenTable

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["TableValue", "from_tree", "tree"]

TableValue = Preview | TableReading | RowLeftOut | Fault | WrittenTable | Differences
"""What crosses as a tree."""

_KINDS: dict[str, type] = {
    "preview": Preview,
    "reading": TableReading,
    "left_out": RowLeftOut,
    "fault": Fault,
    "table": WrittenTable,
    "differences": Differences,
}
_NAMES = {kind: name for name, kind in _KINDS.items()}


def tree(value: TableValue) -> dict[str, Any]:
    """Return a table value as a tree of dicts, lists, text and numbers, its kind under `is`."""
    if type(value) not in _NAMES:
        raise SprayoutError(f"{type(value).__name__} is no table value", "Return one of: " + ", ".join(_KINDS) + ".")
    return {"is": _NAMES[type(value)], **_plain_record(value)}


def from_tree(plain: object) -> TableValue:
    """Return the table value a tree stands for; anything that does not fit raises SprayoutError with
    its place.
    """
    if not isinstance(plain, dict) or plain.get("is") not in _KINDS:
        raise SprayoutError("this is no table value", "Its member 'is' must be one of: " + ", ".join(_KINDS) + ".")
    name = plain["is"]
    record = _record(_KINDS[name], {key: item for key, item in plain.items() if key != "is"}, name)
    assert isinstance(record, TableValue)
    return record


def _plain_record(value: DataclassInstance) -> dict[str, Any]:
    return {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}


def _plain(value: object) -> object:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _plain_record(value)
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, bytes):
        return value.hex()
    return value


@cache
def _fields(kind: type) -> dict[str, tuple[Any, bool]]:
    hints = get_type_hints(kind)
    return {
        field.name: (
            hints[field.name],
            field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING,
        )
        for field in dataclasses.fields(kind)
    }


def _record(kind: type, plain: object, place: str) -> object:
    if not isinstance(plain, dict):
        raise SprayoutError(f"expected the members of a {kind.__name__}, found {type(plain).__name__}", place=place)
    fields = _fields(kind)
    if unknown := sorted(str(key) for key in plain if key not in fields):
        raise SprayoutError(f"unknown member {unknown[0]!r}", place=place)
    if missing := [name for name, (_, needed) in fields.items() if needed and name not in plain]:
        raise SprayoutError(f"member {missing[0]!r} is missing", place=place)
    return kind(**{key: _fitted(fields[key][0], item, f"{place}/{key}") for key, item in plain.items()})


def _fitted(hint: object, plain: object, place: str) -> object:
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return _record(hint, plain, place)
    origin = get_origin(hint)
    if origin is tuple and isinstance(plain, list | tuple):
        inner = get_args(hint)[0]
        return tuple(_fitted(inner, item, f"{place}/{number}") for number, item in enumerate(plain))
    if origin is Mapping and isinstance(plain, dict) and all(isinstance(key, str) for key in plain):
        inner = get_args(hint)[1]
        return {key: _fitted(inner, item, f"{place}/{key}") for key, item in plain.items()}
    return _scalar(hint, plain, place)


def _scalar(hint: object, plain: object, place: str) -> object:
    if hint is float and isinstance(plain, int | float) and not isinstance(plain, bool) and math.isfinite(plain):
        return float(plain)
    if hint is int and isinstance(plain, int) and not isinstance(plain, bool):
        return plain
    if hint is str and isinstance(plain, str):
        return plain
    if hint is bytes and isinstance(plain, str):
        try:
            return bytes.fromhex(plain)
        except ValueError:
            pass
    raise SprayoutError(f"expected {getattr(hint, '__name__', hint)}, found {plain!r:.60}", place=place)
