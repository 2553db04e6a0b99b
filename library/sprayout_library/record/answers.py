"""Two answers: what copies disagree on, each answer with whose it is, when, and what was sprayed of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sprayout_core.compare import ABSENT, questions_of, status
from sprayout_core.documents import Document, Formula, Shop, copy_of, dot_order, from_tree, tree, with_value
from sprayout_core.errors import SprayoutError
from sprayout_library.record.evidence import evidence_for
from sprayout_library.record.names import Names
from sprayout_library.store import Store

__all__ = ["Answered", "Question", "answer_named", "open_answers"]


@dataclass(frozen=True, slots=True)
class Answered:
    """One live answer: its letter, its dot and value, and what lies behind it."""

    letter: str
    dot: str
    value: Any
    told: str
    whose: str
    at: str
    evidence: str
    panels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """One disagreement: the document, the atom, its words on screens, and the answers."""

    document: str
    title: str
    atom: str
    words: str
    option: str
    answers: tuple[Answered, ...]

    def data(self) -> dict[str, Any]:
        """Return the question as plain members for JSON."""
        return {
            "document": self.document, "title": self.title, "about": self.atom,
            "answers": [{"letter": one.letter, "told": one.told, "whose": one.whose, "at": one.at,
                         "panels": list(one.panels)} for one in self.answers],
        }  # fmt: skip


def open_answers(store: Store, names: Names, only: str | None = None) -> list[Question]:
    """Return every disagreement in the library, or those of one document."""
    found = []
    waiting = [only] if only else [entry.id for entry in names.of_kind() if entry.asked or entry.withdrawn]
    shops = _copies(store)
    for identity in waiting:
        document = store.get(identity)
        if document is None:
            continue
        atoms = [atom for atom in questions_of(document) if atom in (document.questions or {})]
        for atom in atoms:
            option = f" --about {atom}" if len(atoms) > 1 else ""
            found.append(_question(store, names, shops, document, atom, option))
    return found


def _copies(store: Store) -> dict[str, str]:
    """Return whose each copy is: shop and, where it has several, the copy's name."""
    names = {}
    for shop in store.documents("shop"):
        if isinstance(shop, Shop):
            for copy, said in (shop.copies or {}).items():
                names[copy] = shop.name if len(shop.copies or {}) == 1 else f"{shop.name}, {said.name}"
    return names


def _question(
    store: Store, names: Names, shops: Mapping[str, str], document: Document, atom: str, option: str
) -> Question:
    plain = tree(document)
    answers = []
    for place, dot in enumerate(sorted(plain["questions"][atom], key=dot_order)):
        value = plain["questions"][atom][dot].get("value", ABSENT)
        copy = copy_of(dot)
        whose = "ours" if copy == store.copy_id else "theirs"
        shop = shops.get(copy, f"copy {copy}")
        told, evidence, panels = _behind(store, names, document, atom, value)
        answers.append(
            Answered(
                "abcdefghijklmnop"[place],
                dot,
                value,
                told,
                f"{whose}: {shop}",
                plain["edits"][atom][dot],
                evidence,
                panels,
            )
        )
    words = "two answers to " + atom.partition("/")[0].replace("_", " ").replace("mix", "the mix")
    if len(answers) > 2:
        words = words.replace("two", str(len(answers)), 1)
    return Question(document.id, document.name, atom, words, option, tuple(answers))


def _behind(store: Store, names: Names, document: Document, atom: str, value: Any) -> tuple[str, str, tuple[str, ...]]:
    """Return what an answer says in words, what was sprayed of it, and the panels."""
    from sprayout_core.compare import written_ratio

    if value is ABSENT:
        return "taken away", "nothing is sprayed of it", ()
    if atom != "mix" or not isinstance(document, Formula):
        return _plain(value, names), "", ()
    plain = tree(document)
    # How the mix was written (scale, order) goes with the answer that wrote it, and is in question only beside it.
    others = {name: dots for name, dots in plain["questions"].items() if name.partition("/")[0] != "mix"}
    settled = with_value({name: held for name, held in plain.items() if name != "questions"}, "mix", value)
    settled["mix"].pop("scale", None)
    version = from_tree(settled | ({"questions": others} if others else {}))
    assert isinstance(version, Formula)
    panels = evidence_for(store, "panel").panels_of(document)
    found = status(version, panels, store.find)
    told = ", ".join(names.label(panel) for panel in found.panels)
    return written_ratio(version, names.label), f"sprayed: {told}" if told else "never sprayed", found.panels


def _plain(value: Any, names: Names) -> str:
    if isinstance(value, dict):
        kept = {key: item for key, item in value.items() if key not in ("at", "by")}
        if set(kept) == {"text"}:
            return str(kept["text"])
        return ", ".join(f"{key.replace('_', ' ')} {_plain(item, names)}" for key, item in kept.items())
    text = str(value)
    return names.label(text) if text in names.entries else text


def answer_named(question: Question, letter: str) -> Answered:
    """Return an answer by its letter, or by "ours" or "theirs" where that is one. Raises SprayoutError."""
    wanted = letter.strip().lower().rstrip(")")
    by_letter = [one for one in question.answers if one.letter == wanted]
    by_side = [one for one in question.answers if one.whose.startswith(wanted) and wanted in ("ours", "theirs")]
    chosen = by_letter or by_side
    if len(chosen) != 1:
        known = ", ".join(one.letter for one in question.answers)
        raise SprayoutError(f"{letter!r} names no one answer", f"Use one of: {known}.")
    return chosen[0]
