"""Live answers of a question: each must be fit to stand in the place it competes for, in one spelling."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache

from pydantic import TypeAdapter, ValidationError

from sprayout_core.documents.atoms import MIX_DISPLAY
from sprayout_core.documents.head import Document
from sprayout_core.documents.told import faults_of
from sprayout_core.documents.unknown import unknown_members
from sprayout_core.documents.values import Json
from sprayout_core.documents.walk import pruned
from sprayout_core.errors import Fault

__all__ = ["Judged", "judged"]


@dataclass(slots=True)
class Judged:
    """What came of a document's answers.

    spelled   per atom and dot, answers in their one spelling where that is another (2.50 is 2.5)
    faults    what is wrong with them
    unknown   places of members that no model knows
    """

    spelled: dict[str, dict[str, Json]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)

    def respelled(self, questions: Mapping[str, Json]) -> dict[str, Json]:
        """Return the questions with every answer in its one spelling."""
        return {atom: {**dots, **self.spelled.get(atom, {})} for atom, dots in questions.items()}


def judged(model: type[Document], questions: Mapping[str, Json]) -> Judged:
    """Return what is to be said of the answers to a document's questions, each looked at once and alone.

    No rule reaches from one atom to another (a join could break it), so no other part of the document counts.
    """
    found = Judged()
    for atom, dots in questions.items():
        for dot, answer in dots.items():
            if "value" in answer:
                _judge(found, model, atom, dot, answer["value"])
    for atom, dots in found.respelled(questions).items():
        values = [answer.get("value") for answer in dots.values()]
        if all(value == values[0] for value in values):
            found.faults.append(Fault(f"questions/{atom}", "its answers are the same", "Then there is no question."))
    return found


def _judge(found: Judged, model: type[Document], atom: str, dot: str, value: Json) -> None:
    place = f"questions/{atom}/{dot}/value"
    if value in ({}, [], ""):
        found.faults.append(Fault(place, "says nothing", "Leave the value out."))
        return
    try:
        held = _placed(model, atom, value)
    except ValidationError as error:
        found.faults.extend(_within(place, error))
        return
    if held is None:
        return
    model_value, plain = held
    found.unknown.extend(unknown_members(model_value, place))
    if atom == "mix" and "items" not in plain:
        found.faults.append(Fault(place, "no mix", "Give the mix: basis and items."))
    elif plain != value:
        found.spelled.setdefault(atom, {})[dot] = {"value": plain}


def _within(place: str, error: ValidationError) -> Iterator[Fault]:
    for inner in faults_of(error):
        yield Fault(f"{place}/{inner.place}" if inner.place else place, inner.problem, inner.remedy)


def _placed(model: type[Document], atom: str, value: Json) -> tuple[Json, Json] | None:
    """Return an answer as its model has it and as plain members; None for an atom this edition does not know."""
    member, slash, key = atom.partition("/")
    if member not in model.model_fields:
        return None
    adapter = _adapter(model, member)
    held = adapter.validate_python({key: value} if slash else value)
    plain = pruned({"held": adapter.dump_python(held, exclude_none=True)}).get("held")
    if atom == "mix":
        plain = {name: item for name, item in (plain or {}).items() if name not in MIX_DISPLAY}
    if not slash:
        return held, plain
    inner = getattr(held, key) if member == "mix" else held[key]
    return inner, (plain or {}).get(key)


@cache
def _adapter(model: type[Document], member: str) -> TypeAdapter[Json]:
    kind: Json = model.model_fields[member].annotation
    return TypeAdapter(kind)
