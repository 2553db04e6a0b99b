"""JSON Schema (2020-12) of each kind, made from the models: what a stored document of this edition looks like."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from sprayout_core.documents.edge import KINDS
from sprayout_core.documents.editions import CURRENT
from sprayout_core.documents.meanings import MEANINGS
from sprayout_core.documents.values import Json

__all__ = ["schema"]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
#: Members of a part of which a document has exactly one.
_ONE_OF = {"Component": ("ratio", "g_per_l"), "Poured": ("amount_ml", "amount_g")}
_WORDLESS = ("title", "default")
#: Bounds of numbers that may be whole or not, in the words of the schema.
_BOUNDS = {"ge": "minimum", "gt": "exclusiveMinimum", "le": "maximum", "lt": "exclusiveMaximum"}


def schema(kind: str) -> dict[str, Json]:
    """Return the JSON Schema of the stored form of one kind in the current edition.

    A member that every document of the kind has is required, or else the question about it. Rules that the
    schema cannot say are listed in docs/format.md.
    """
    model = KINDS[kind]
    told = model.model_json_schema()
    parts = told.pop("$defs", {})
    said: dict[str, Json] = {
        "$schema": _DIALECT,
        "$id": f"urn:sprayout:schema:{CURRENT.major}.{CURRENT.minor}:{kind}",
        **_part(told, model.__name__),
    }
    said["properties"]["format"] = {"const": str(CURRENT), "description": MEANINGS["Document"]["format"]}
    said["allOf"] = [_member_or_question(member) for member in model.asked]
    said["$defs"] = {name: _part(part, name) for name, part in sorted(parts.items())}
    return {name: value for name, value in said.items() if value not in ([], {})}


def _member_or_question(member: str) -> dict[str, Json]:
    """Return the rule that a member stands, or copies disagree on it: one of the two."""
    stands: dict[str, Json] = {"required": [member]}
    if member == "mix":
        stands["properties"] = {"mix": {"required": ["basis", "items"]}}
    asked = {"required": ["questions"], "properties": {"questions": {"required": [member]}}}
    return {"oneOf": [stands, asked]}


def _part(told: Mapping[str, Json], name: str) -> dict[str, Json]:
    """Return the schema of one model: closed, each member with its meaning, those always written required."""
    part: dict[str, Json] = {
        "type": "object",
        "description": told.get("description", ""),
        "additionalProperties": False,
        "properties": {},
    }
    required = list(told.get("required", ()))
    for member, about in told.get("properties", {}).items():
        meaning = MEANINGS.get(name, {}).get(member) or MEANINGS["Document"].get(member, "")
        part["properties"][member] = {"description": meaning, **_plain(about)}
        if about.get("default") is not None:
            required.append(member)
    if required:
        part["required"] = sorted(required)
    if name in _ONE_OF:
        part["oneOf"] = [{"required": [member]} for member in _ONE_OF[name]]
    return part


def _plain(about: Mapping[str, Json]) -> dict[str, Json]:
    """Return the schema of a value: never null, never empty, numbers as numbers, words of the generator left out."""
    said = {_BOUNDS.get(name, name): value for name, value in about.items() if name not in _WORDLESS}
    kinds = [kind for kind in said.pop("anyOf", []) if kind.get("type") != "null"]
    if {kind.get("type") for kind in kinds} == {"integer", "number"}:
        said["type"] = "number"
    elif kinds:
        (only,) = kinds
        return said | _plain(only)
    if said.get("exclusiveMinimum", -math.inf) >= said.get("minimum", -math.inf):
        said.pop("minimum", None)
    if "items" in said:
        said["items"] = _plain(said["items"])
        said.setdefault("minItems", 1)
    return dict(_members(said))


def _members(said: Mapping[str, Json]) -> Iterator[tuple[str, Json]]:
    """Yield what is said of a map's members: no others than those named by the pattern, and at least one."""
    for name, value in said.items():
        if name == "patternProperties":
            yield name, {pattern: _plain(kind) for pattern, kind in value.items()}
            yield "additionalProperties", False
            yield "minProperties", 1
        elif name == "additionalProperties" and isinstance(value, dict):
            yield name, _plain(value)
            yield "minProperties", 1
        else:
            yield name, value
