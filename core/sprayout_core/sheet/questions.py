"""Open questions of a document, told with the names a painter knows."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from sprayout_core.documents import (
    Document,
    Find,
    Policy,
    atom_for,
    copy_of,
    dot_order,
)
from sprayout_core.sheet.mixing import Answer, TwoAnswers

__all__ = ["name_of", "questions_of"]

Who = Callable[[str], str]


def name_of(reference: str, find: Find) -> str:
    """Return the name of a document or open slot; what is not in the library goes by the end of its id."""
    if reference.startswith("slot."):
        return f"({reference.removeprefix('slot.')} to choose)"
    document = find(reference)
    return document.name if document else f"…{reference[-6:]}"


def questions_of(document: Document, find: Find, who: Who) -> dict[str, TwoAnswers]:
    """Return the questions a person is asked, by atom; quiet ones are nobody's concern.

    who  copy id to the shop's name
    """
    asked = {}
    for atom, answers in (document.questions or {}).items():
        row = atom_for(document.kind, atom)
        if row is None or row.policy not in (Policy.ASK, Policy.WITHDRAWAL) or len(answers) < 2:
            continue
        told = tuple(
            Answer(who(copy_of(dot)), _told(atom, answers[dot].value, find)) for dot in sorted(answers, key=dot_order)
        )
        asked[atom] = TwoAnswers(_about(document, atom), told)
    return asked


def _about(document: Document, atom: str) -> str:
    member, _, item = atom.partition("/")
    words = {"mix": "ratio", "coats": "a coat", "coats_order": "order of coats", "notes": "a note"}
    said = words.get(member, member.replace("_", "-"))
    if member == "spray_ready":
        said += f" for {item}"
    return f"{document.name}: {said}"


def _told(atom: str, value: object, find: Find) -> str:
    if value is None:
        return "taken away"
    if isinstance(value, Mapping):
        if atom == "mix":
            return _mix(value, find)
        if atom.startswith("coats/"):
            return _coat(value, find)
    return _plain(value, find)


def _mix(value: Mapping[str, object], find: Find) -> str:
    items = value.get("items")
    if not isinstance(items, Mapping):
        return _plain(value, find)
    liquid = [f"{item['ratio']} {name_of(key, find)}" for key, item in items.items() if "ratio" in item]
    dry = [f"{item['g_per_l']} g per l {name_of(key, find)}" for key, item in items.items() if "g_per_l" in item]
    return " : ".join(liquid) + "".join(f", with {part}" for part in dry) + f" (by {value.get('basis')})"


def _coat(value: Mapping[str, object], find: Find) -> str:
    rest = {key: part for key, part in value.items() if key not in ("formula", "count")}
    said = f"{name_of(str(value.get('formula')), find)}, {value.get('count')}"
    return f"{said}, {_plain(rest, find)}" if rest else said


def _plain(value: object, find: Find) -> str:
    """Return any value as words: members by name, ids by title."""
    if isinstance(value, Mapping):
        return ", ".join(f"{str(key).replace('_', ' ')} {_plain(part, find)}" for key, part in value.items())
    if isinstance(value, list):
        return ", ".join(_plain(part, find) for part in value)
    text = str(value)
    return name_of(text, find) if find(text) else text
