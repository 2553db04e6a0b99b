"""Live answers of a question: each must be fit to stand in the place it competes for, in one spelling."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pydantic import ValidationError

from sprayout_core.documents.atoms import value_at, with_value
from sprayout_core.documents.head import Document
from sprayout_core.documents.told import faults_of
from sprayout_core.documents.values import Json
from sprayout_core.documents.walk import pruned
from sprayout_core.errors import Fault

__all__ = ["answer_faults", "with_one_spelling"]


def with_one_spelling(document: Document, plain: Mapping[str, Json]) -> Document:
    """Return the document with each answer spelled as its place would hold it (2.50 as 2.5)."""
    spelled: dict[str, dict[str, Json]] = {}
    for atom, dot, value in _answers(plain):
        placed = _placed(document, plain, atom, value)
        if isinstance(placed, Document):
            held = value_at(pruned(placed.model_dump(exclude_none=True)), atom)
            if held is not None and held != value:
                spelled.setdefault(atom, {})[dot] = {"value": held}
    if not spelled:
        return document
    questions = {atom: {**dots, **spelled.get(atom, {})} for atom, dots in plain["questions"].items()}
    return type(document).model_validate({**plain, "questions": questions})


def answer_faults(document: Document) -> Iterator[Fault]:
    """Yield the faults of live answers that could not stand in their place."""
    plain = pruned(document.model_dump(exclude_none=True))
    for atom, dot, value in _answers(plain):
        if value in ({}, [], ""):
            yield Fault(f"questions/{atom}/{dot}/value", "says nothing", "Leave the value out.")
        placed = _placed(document, plain, atom, value)
        if isinstance(placed, ValidationError):
            for inner in faults_of(placed):
                place = f"questions/{atom}/{dot}/value ({inner.place})"
                yield Fault(place, inner.problem, inner.remedy)
    for atom, dots in plain["questions"].items():
        values = [answer.get("value") for answer in dots.values()]
        if all(value == values[0] for value in values):
            yield Fault(f"questions/{atom}", "its answers are the same", "Then there is no question.")


def _answers(plain: Mapping[str, Json]) -> Iterator[tuple[str, str, Json]]:
    for atom, dots in plain["questions"].items():
        for dot, answer in dots.items():
            if "value" in answer:
                yield atom, dot, answer["value"]


def _placed(document: Document, plain: Mapping[str, Json], atom: str, value: Json) -> Document | ValidationError:
    others = {name: dots for name, dots in plain["questions"].items() if name != atom}
    bare = {name: held for name, held in plain.items() if name != "questions"}
    settled = with_value(bare, atom, value) | ({"questions": others} if others else {})
    try:
        return type(document).model_validate(settled)
    except ValidationError as error:
        return error
