"""Two answers: what copies disagree on, each answer with whose it is, when, and what was sprayed of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sprayout_core.compare import ABSENT, Change, Put, Sprayed, TakeAway, edit, late_edits, questions_of, settle
from sprayout_core.documents import Document, Shop, copy_of, dot_order, tree
from sprayout_core.documents.which import is_formula
from sprayout_core.errors import SprayoutError
from sprayout_library.record.behind import Behind, behind, settled_as, sprayed_of
from sprayout_library.record.evidence import Evidence, evidence_for
from sprayout_library.record.names import Names
from sprayout_library.store import Store

__all__ = ["Answered", "Question", "answer_named", "copies_of_shops", "open_answers", "settled_by", "told_value"]


@dataclass(frozen=True, slots=True)
class Answered:
    """One live answer: its letter, its dot and value, and what lies behind it.

    evidence   whether it was sprayed, in words; `behind` has the panels with all that was seen of them
    last       whether it is the one that was sprayed last: what sheets print while the question is open
    """

    letter: str
    dot: str
    value: Any
    told: str
    whose: str
    at: str
    evidence: str
    panels: tuple[str, ...]
    behind: tuple[Behind, ...] = ()
    last: bool = False

    def data(self) -> dict[str, Any]:
        """Return the answer as plain members for JSON."""
        return {
            "letter": self.letter, "told": self.told, "whose": self.whose, "at": self.at, "panels": list(self.panels),
            "evidence": [one.data() for one in self.behind], "sprayed_last": self.last,
        }  # fmt: skip


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
            "answers": [one.data() for one in self.answers],
        }  # fmt: skip


def open_answers(store: Store, names: Names, only: str | None = None) -> list[Question]:
    """Return every disagreement in the library, or those of one document with all the evidence behind each answer."""
    waiting = [only] if only else [entry.id for entry in names.in_question()]
    asked = [one for identity in waiting if (one := store.get(identity)) is not None and questions_of(one)]
    if not asked:
        return []
    desk = _Desk(store, names, copies_of_shops(store), evidence_for(store, "panel"), bool(only))
    found = []
    for document in asked:
        atoms = questions_of(document)
        for atom in atoms:
            option = f" --about {atom}" if len(atoms) > 1 else ""
            if atom in (document.questions or {}):
                found.append(_question(desk, document, atom, option))
            else:
                found.append(_late(desk, document, option))
    return found


@dataclass(frozen=True, slots=True)
class _Desk:
    """What is looked up for every question; `whole` where all the evidence is told."""

    store: Store
    names: Names
    shops: Mapping[str, str]
    panels: Evidence
    whole: bool

    def whose(self, copy: str) -> str:
        side = "ours" if copy == self.store.copy_id else "theirs"
        return f"{side}: {self.shops.get(copy, f'copy {copy}')}"

    def behind(self, panels: tuple[str, ...]) -> tuple[Behind, ...]:
        if not self.whole:
            return ()
        return behind(self.store, self.names, self.panels.panels, panels, self.shops)


def settled_by(held: Document, question: Question, answer: Answered, copy: str, at: str) -> Document:
    """Return the document with a question settled by one of its answers.

    A mix stands as its answer was told, in smallest whole parts: how it was written joins without a question, so what
    stood there may be of the other answer.
    """
    document = settle(held, copy, question.atom, answer.value, at)
    if question.atom != "mix" or not is_formula(document) or document.mix is None:
        return document
    changes: list[Change] = [Put("mix/scale", "1")] if document.mix.scale != "1" else []
    changes += [TakeAway("mix/as_typed")] if document.mix.as_typed else []
    return edit(document, copy, changes, at) if changes else document


def copies_of_shops(store: Store) -> dict[str, str]:
    """Return whose each copy is: shop and, where it has several, the copy's name."""
    names = {}
    for shop in store.documents("shop"):
        if isinstance(shop, Shop):
            for copy, said in (shop.copies or {}).items():
                names[copy] = shop.name if len(shop.copies or {}) == 1 else f"{shop.name}, {said.name}"
    return names


def _question(desk: _Desk, document: Document, atom: str, option: str) -> Question:
    plain = tree(document)
    dots = sorted(plain["questions"][atom], key=dot_order)
    values = [plain["questions"][atom][dot].get("value", ABSENT) for dot in dots]
    sprayed = [_sprayed(desk, document, atom, value) for value in values]
    latest = [
        max(((_when(desk, one), dot) for one in panels), default=("", ""))
        for dot, (_, panels) in zip(dots, sprayed, strict=True)
    ]
    answers = [
        Answered(
            "abcdefghijklmnop"[place],
            dot,
            values[place],
            told_value(document, atom, values[place], desk.names),
            desk.whose(copy_of(dot)),
            plain["edits"][atom][dot],
            *sprayed[place],
            desk.behind(sprayed[place][1]),
            atom == "mix" and latest[place][0] != "" and latest[place] == max(latest),
        )
        for place, dot in enumerate(dots)
    ]
    words = "two answers to " + atom.partition("/")[0].replace("_", " ").replace("mix", "the mix")
    if len(answers) > 2:
        words = words.replace("two", str(len(answers)), 1)
    return Question(document.id, document.name, atom, words, option, tuple(answers))


def _late(desk: _Desk, document: Document, option: str) -> Question:
    """Return the question of a document that was put out of use before somebody's edit of it was known."""
    plain = tree(document)
    edits = plain.get("edits", {})
    out = max(edits.get("withdrawn", {plain["made"]: ""}).items(), key=lambda pair: (pair[1], dot_order(pair[0])))
    late = [(atom, *pair) for atom in late_edits(document) for pair in edits.get(atom, {}).items()]
    changed = ", ".join(dict.fromkeys(atom.partition("/")[0].replace("_", " ") for atom, *_ in late))
    back = max(late, key=lambda one: (one[2], dot_order(one[1])), default=("", plain["made"], ""))
    answers = (
        Answered("a", out[0], dict(plain["seen"]), "stays out of use", desk.whose(copy_of(out[0])), out[1], "", ()),
        Answered(
            "b", back[1], ABSENT, f"comes back, for it was changed meanwhile: {changed or 'in its facts'}",
            desk.whose(copy_of(back[1])), back[2], "", (),
        ),
    )  # fmt: skip
    return Question(document.id, document.name, "withdrawn", "out of use, or not?", option, answers)


def _when(desk: _Desk, panel: str) -> str:
    held = desk.panels.panels[panel]
    return held.sprayed_at or held.provenance.at


def _sprayed(desk: _Desk, document: Document, atom: str, value: Any) -> tuple[str, tuple[str, ...]]:
    """Return what was sprayed of an answer, in words, and the panels."""
    if value is ABSENT:
        return ("" if atom == "withdrawn" else "nothing is sprayed of it"), ()
    found = sprayed_of(desk.store, desk.panels, document, atom, value)
    if found is None:
        return "", ()
    if found.state is Sprayed.OPEN:
        return "not known while the other answers are open", ()
    told = ", ".join(desk.names.label(panel) for panel in found.panels)
    return f"sprayed: {told}" if told else "never sprayed", found.panels


def told_value(document: Document, atom: str, value: Any, names: Names) -> str:
    """Return what an answer says, in words."""
    from sprayout_core.compare import written_ratio

    if atom == "withdrawn":
        return "in use" if value is ABSENT else "out of use"
    if value is ABSENT:
        return "taken away"
    version = settled_as(document, atom, value) if atom == "mix" else None
    return written_ratio(version, names.label) if is_formula(version) else _plain(value, names)


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
