"""Making a new document: its identity, its first dots, and where it came from."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import ValidationError

from sprayout_core.documents.atoms import ATOMS
from sprayout_core.documents.authoring import authoring_faults
from sprayout_core.documents.edge import DocumentError, from_tree
from sprayout_core.documents.editions import CURRENT
from sprayout_core.documents.head import Document
from sprayout_core.documents.identity import dot, reading_id, uuid8
from sprayout_core.documents.said import tree as as_tree
from sprayout_core.documents.sprayed import Reading
from sprayout_core.documents.told import faults_of
from sprayout_core.documents.values import Json
from sprayout_core.errors import Fault

__all__ = ["made"]


def made(
    kind: str, facts: Mapping[str, Json], *, copy: str, provenance: Mapping[str, Json], id: str | None = None
) -> Document:
    """Return a new document of a kind.

    facts       its members; items that are keyed by dot (tags, notes, coats, grounds ...) are given as lists,
                in order: each takes a dot of its own, and `coats_order` follows from the list of coats
    copy        the copy id of the library that makes it
    provenance  at, tool, and what else is known
    id          its id; a reading has none given, since its facts make it

    Raises DocumentError with every fault.
    """
    tree: dict[str, Json] = {"format": str(CURRENT), "kind": kind, "provenance": dict(provenance)}
    number = 1
    keyed = {row.member for row in ATOMS.get(kind, ()) if row.keyed == "dot"}
    for name, value in facts.items():
        if name in keyed and isinstance(value, list):
            items = {}
            for item in value:
                number += 1
                items[dot(copy, number)] = item
            tree[name] = items
            if name == "coats" and len(items) > 1:
                tree["coats_order"] = list(items)
        else:
            tree[name] = value
    tree["made"] = dot(copy, 1)
    tree["seen"] = {copy: number}
    tree = {name: value for name, value in tree.items() if value is not None and value not in ({}, [], "")}
    if kind == "reading":
        tree["id"] = _reading_id(tree)
    elif id is None:
        raise DocumentError([Fault("id", "missing", "A new document needs an id.")])
    else:
        tree["id"] = id
    document = from_tree(tree)
    if faults := list(authoring_faults(document)):
        raise DocumentError(faults)
    return document


def _reading_id(facts: Mapping[str, Json]) -> str:
    """Return the id of a reading from its facts in their one spelling (4.0 mm is 4 mm)."""
    try:
        spelled = Reading.model_validate({**facts, "id": uuid8(bytes(16))})
    except ValidationError as error:
        raise DocumentError(faults_of(error)) from None
    return reading_id(as_tree(spelled))
