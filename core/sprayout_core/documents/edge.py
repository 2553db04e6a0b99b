"""The edge: text becomes a document with every fault told at once, and a document becomes text again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from sprayout_core.documents.atoms import value_at, with_value
from sprayout_core.documents.editions import CURRENT, Edition, Migration, edition_of, migrated
from sprayout_core.documents.head import Document
from sprayout_core.documents.kinds import Formula, Material, Recipe
from sprayout_core.documents.record import record_faults
from sprayout_core.documents.shops import Library, Shop
from sprayout_core.documents.sprayed import Batch, Judgement, Panel, Picture, Reading
from sprayout_core.documents.text import parse, stored
from sprayout_core.errors import Fault, FaultsError

__all__ = ["KINDS", "DocumentError", "from_tree", "read", "tree", "write"]

KINDS: Mapping[str, type[Document]] = {
    "material": Material,
    "formula": Formula,
    "recipe": Recipe,
    "batch": Batch,
    "panel": Panel,
    "reading": Reading,
    "judgement": Judgement,
    "picture": Picture,
    "shop": Shop,
    "library": Library,
}

#: Steps from one major edition to the next; edition 1 is the first.
MIGRATIONS: dict[int, Migration] = {}

_REMEDIES = {
    "missing": "Add it.",
    "string_type": "Write it as text, in quotes.",
    "string_too_long": "Make it shorter; longer words go into a note.",
    "string_pattern_mismatch": "See docs/format.md for how it is spelled.",
    "literal_error": "Use one of the words named.",
    "int_type": "Write a whole number.",
    "int_from_float": "Write a whole number.",
    "dict_type": "Write members in braces.",
    "model_type": "Write members in braces.",
    "list_type": "Write a list in brackets.",
    "finite_number": "Leave the value out.",
}


class DocumentError(FaultsError):
    """A document that says something it may not; carries every fault found."""


def read(text: bytes) -> Document:
    """Return the document that JSON text says.

    Raises TextError (no JSON of ours), EditionError (a newer major edition) or DocumentError; each carries all
    faults found, with place, problem and remedy.
    """
    return from_tree(parse(text))


def write(document: Document) -> bytes:
    """Return the stored form of a document: the one text it has in a file."""
    return stored(tree(document))


def tree(document: Document) -> dict[str, Any]:
    """Return a document as plain members, lists, text and numbers, empty members left out."""
    plain = document.model_dump(exclude_none=True)
    questions = plain.pop("questions", None)
    full = {name: kept for name, value in plain.items() if not _empty(kept := _pruned(value))}
    if questions:
        full["questions"] = questions
    return full


def _pruned(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: kept for name, item in value.items() if not _empty(kept := _pruned(item))}
    return value


def _empty(value: Any) -> bool:
    return isinstance(value, dict | list | str) and not value


def from_tree(plain: Mapping[str, Any], current: Edition = CURRENT) -> Document:
    """Return the document that a plain tree says; raises as `read` does."""
    if not isinstance(plain, dict):
        raise DocumentError([Fault("", "not a document", "Write members in braces.")])
    edition = edition_of(plain.get("format"))
    plain = migrated(plain, MIGRATIONS, current)
    kind = plain.get("kind")
    model = KINDS.get(kind) if isinstance(kind, str) else None
    if model is None:
        raise DocumentError([Fault("kind", f"{kind!r} is no kind", f"Use one of: {', '.join(KINDS)}.")])
    faults: list[Fault] = []
    document: Document | None = None
    try:
        document = model.model_validate(plain)
    except ValidationError as error:
        faults.extend(_fault(details) for details in error.errors(include_url=False, include_input=True))
    if edition <= current:
        faults.extend(_unknown(model, plain, document))
    faults.extend(record_faults(plain))
    if not faults:
        faults.extend(_answer_faults(model, plain))
    if faults or document is None:
        raise DocumentError(dict.fromkeys(faults))
    return document


def _answer_faults(model: type[Document], plain: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield the faults of live answers: each must be fit to stand in the place it competes for."""
    questions = plain.get("questions", {})
    bare = {name: value for name, value in plain.items() if name != "questions"}
    for atom in questions:
        others = {name: dots for name, dots in questions.items() if name != atom}
        for dot, answer in questions[atom].items():
            if "value" not in answer:
                continue
            settled = with_value(bare, atom, answer["value"]) | ({"questions": others} if others else {})
            place = f"questions/{atom}/{dot}/value"
            try:
                document = model.model_validate(settled)
            except ValidationError as error:
                for details in error.errors(include_url=False, include_input=True):
                    inner = _fault(details)
                    yield Fault(f"{place} ({inner.place})", inner.problem, inner.remedy)
            else:
                placed = tree(document)
                if value_at(placed, atom) != answer["value"]:
                    yield Fault(place, "not in its one spelling", "Write it as its place would hold it.")


def _fault(details: ErrorDetails) -> Fault:
    place = "/".join(str(part) for part in details["loc"] if part != "[key]")
    context = details.get("ctx", {})
    if details["type"] == "sprayout":
        inner = context["place"]
        place = "/".join(part for part in (place, inner) if part)
        return Fault(place, context["problem"], context["remedy"])
    problem = details["msg"][0].lower() + details["msg"][1:]
    given = details.get("input")
    if isinstance(given, str | int | float) and details["type"] != "missing":
        problem = f"{str(given)[:60]!r}: {problem}" if isinstance(given, str) else f"{given}: {problem}"
    return Fault(place, problem.rstrip("."), _REMEDIES.get(details["type"], "See docs/format.md."))


def _unknown(model: type[Document], plain: Mapping[str, Any], document: Document | None) -> Iterator[Fault]:
    """Yield a fault for each member that this edition does not know; of broken documents, those at the top."""
    if document is None:
        for name in plain:
            if name not in model.model_fields:
                yield _unknown_member(name)
        return
    yield from (_unknown_member(place) for place in _extras(document, ""))


def _unknown_member(place: str) -> Fault:
    return Fault(place, "unknown member", f"Take it out; {CURRENT} does not know it.")


def _extras(value: Any, place: str) -> Iterator[str]:
    if isinstance(value, BaseModel):
        prefix = f"{place}/" if place else ""
        for name in value.model_extra or ():
            yield prefix + name
        for name in type(value).model_fields:
            yield from _extras(getattr(value, name), prefix + name)
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _extras(item, f"{place}/{name}")
    elif isinstance(value, list):
        for number, item in enumerate(value):
            if isinstance(item, BaseModel):
                yield from _extras(item, f"{place}/{number}")
