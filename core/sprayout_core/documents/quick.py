"""The quick proof: text that a typed decoder finds whole needs no model; about all other text the models are asked.

The decoder's types are made from the models, and the models' own rules run on what it decodes, so there is one
description of a document. The proof only ever says yes: where it says nothing, the models judge and find the words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

import msgspec

from sprayout_core.documents.atoms import ATOMS, FIXED
from sprayout_core.documents.edge import KINDS
from sprayout_core.documents.editions import CURRENT
from sprayout_core.documents.identity import READING_IDENTITY, reading_id
from sprayout_core.documents.record import edit_faults
from sprayout_core.documents.text import LARGEST, laid_out, numbers_are_plain
from sprayout_core.documents.typed import Typed, rules_of, typed, typed_changes
from sprayout_core.documents.values import Json, can_be_shown
from sprayout_core.errors import SprayoutError

__all__ = ["Proved", "is_proved_change", "proved"]

#: Characters that writers of JSON escape in ways of their own are for the careful reader.
_ESCAPES = re.compile(rb'\\[^"\\n]')
_KIND = re.compile(rb'\n  "kind": "([a-z]{1,20})",\n')
_HEAD = ("format", "kind", "id", "made", "provenance")


class Proved(NamedTuple):
    """What the text of a document says at its head: its kind and id, and the edits that it has seen."""

    kind: str
    id: str
    seen: dict[str, int]


def proved(text: bytes) -> Proved | None:
    """Return what a text says at its head where it is certainly the stored form of a valid document.

    Then `write(read(text)) == text`. None where that is not certain: a document in question or of another
    edition, quotients for amounts, the 29th of February, and all that is wrong.
    """
    said = _KIND.search(text)
    kind = said[1].decode("ascii") if said else ""
    if kind not in KINDS:
        return None
    one = _decoded(text, _whole(kind))
    if one is None or text.count(one.id.encode("ascii")) != 1 + (one.provenance.shop == one.id):
        return None  # it may point at itself; a shop's own document may say that it was made there
    if not _holds_record(kind, one, one.made, one.seen):
        return None
    if kind == "reading" and not _is_named_by_its_facts(one):
        return None
    return Proved(kind, one.id, one.seen)


def is_proved_change(kind: str, id: str, made: str, seen: Mapping[str, int], text: bytes) -> bool:
    """Say whether members that changed in a document are certainly in order, the rest of it being so.

    text   the stored form of the changed members alone; facts written once, and questions, are never among them
    seen   the edits that the document has seen by now
    """
    if id.encode("ascii") in text:
        return False
    one = _decoded(text, _changed(kind))
    return one is not None and _holds_record(kind, one, made, seen)


@cache
def _whole(kind: str) -> Typed:
    return typed(KINDS[kind], leaving_out=("questions",), format=str(CURRENT))


@cache
def _changed(kind: str) -> Typed:
    model, fixed = KINDS[kind], FIXED.get(kind, ())
    # Where a kind has facts that are written once, its rules across members are about those alone.
    rules = () if fixed else rules_of(model)
    return typed_changes(model, leaving_out=("questions", *_HEAD, *fixed), rules=rules)


def _decoded(text: bytes, types: Typed) -> Json:
    """Return what a text in the stored form says, as the typed decoder has it; None where anything is in doubt."""
    if len(text) > LARGEST or b"\x7f" in text or b": {}" in text or _ESCAPES.search(text):
        return None
    try:
        one = types.decoder.decode(text)
        plain = msgspec.json.encode(one, order="sorted")
        if (types.numbers and not numbers_are_plain(plain)) or laid_out(plain) != text:
            return None
        if not text.isascii() and not can_be_shown(text.decode("utf-8")):
            return None
    except (msgspec.DecodeError, UnicodeError, RecursionError, SprayoutError):
        return None
    return one


def _holds_record(kind: str, one: Json, made: str, seen: Mapping[str, int]) -> bool:
    """Say whether every edit that is named is seen, each item has a dot of its own, and atoms are those of the kind."""
    dots = [dot for member in _keyed_by_dot(kind) if (held := getattr(one, member)) for dot in held]
    if len(set(dots)) != len(dots):
        return False
    dots.append(made)
    for atom, times in (one.edits or {}).items():
        dots += times
        if any(edit_faults({"kind": kind, "made": made}, atom, times)):
            return False
    for dot in dots:
        copy, _, number = dot.partition(".")
        if int(number) > seen.get(copy, 0):
            return False
    return all(number <= seen.get(copy, 0) for copy, number in (one.withdrawn or {}).items())


@cache
def _keyed_by_dot(kind: str) -> tuple[str, ...]:
    return tuple(row.member for row in ATOMS[kind] if row.keyed == "dot")


def _is_named_by_its_facts(reading: Json) -> bool:
    said = {name: value for name in READING_IDENTITY if (value := getattr(reading, name)) is not None}
    facts: dict[str, Json] = msgspec.to_builtins(said)
    return bool(reading_id(facts) == reading.id)
