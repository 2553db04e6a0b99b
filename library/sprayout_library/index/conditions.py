"""What documents can be asked for besides words: what is in them, their evidence, how they were judged."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from typing import NamedTuple

from sprayout_core.errors import SprayoutError
from sprayout_library.index.opened import Index, Known
from sprayout_library.index.question import Question, Uses
from sprayout_library.index.rows import key, text_of

__all__ = ["Met", "Reasons", "conditions_of"]

Reasons = dict[str, str]
"""Why each document meets one condition, by id."""


class Met(NamedTuple):
    """What meets one condition, and which panels stand for a mix or a recipe that meets it.

    What is said of a mix as it stands holds for the panels that prove it so; a name holds for all its panels.
    """

    reasons: Reasons
    panels: Callable[[Index, str], list[str]]


def conditions_of(index: Index, question: Question) -> list[Met]:
    """Return what meets each condition of a question, but for its words and its colour."""
    return [Met(one, panels) for make, panels in _CONDITIONS for one in make(index, question)]


def _uses(index: Index, question: Question) -> Iterator[Reasons]:
    for wanted in question.uses:
        if wanted.thing.kind == "formula":
            if wanted.low is not None or wanted.high is not None:
                raise SprayoutError(
                    f"{wanted.thing.name} is a mix: its share is counted by its materials", "Name a material.",
                    place="uses",
                )  # fmt: skip
            yield _users(index, wanted.thing)
        else:
            yield _shares(index, wanted)


def _users(index: Index, thing: Known) -> Reasons:
    found: Reasons = {}
    waiting = [thing.id]
    while waiting:
        raw = waiting.pop()
        for level in index.levels:
            for user, kind in level.db.execute("SELECT user, kind FROM uses WHERE thing = ?", (key(raw),)):
                name = text_of(user)
                if name not in found and _still(index, name, raw):
                    found[name] = f"uses {thing.name}" + ("" if raw == thing.id else ", inside another mix")
                    if kind == "formula":
                        waiting.append(name)
    return found


def _still(index: Index, user: str, thing: str) -> bool:
    """Return whether a document uses a thing as it stands: older layers may tell of what it was."""
    rows = index.rows("SELECT user FROM uses WHERE user = ? AND thing = ?", (key(user), key(thing)))
    return next(rows, None) is not None


def _shares(index: Index, wanted: Uses) -> Reasons:
    low, high = wanted.low or Fraction(0), wanted.high if wanted.high is not None else Fraction(100)
    found: Reasons = {}
    query = "SELECT formula, exact, basis FROM share WHERE material = ? AND value BETWEEN ? AND ?"
    edges = (key(wanted.thing.id), float(low / 100) - 1e-9, float(high / 100) + 1e-9)
    for formula, exact, basis in index.rows(query, edges):
        percent = Fraction(exact) * 100
        if low <= percent <= high:
            found[text_of(formula)] = f"{float(percent):.3g} % {wanted.thing.name} by {basis}"
    return found


def _same(index: Index, question: Question) -> Iterator[Reasons]:
    if question.same_as is None:
        return
    if question.same_as.mix is None:
        raise SprayoutError(
            f"{question.same_as.name} has no composition",
            "It holds an open slot, two answers, or a part that is not here.",
            place="same-mix-as",
        )
    rows = index.rows("SELECT id FROM doc WHERE mix = ?", (question.same_as.mix,))
    same = [text_of(raw) for (raw,) in rows]
    found = {one: f"the same mix as {question.same_as.name}" for one in same if one != question.same_as.id}
    for formula in same:  # and where it was sprayed: the same mix over other grounds
        for raw in index.related("SELECT user FROM uses WHERE thing = ? AND kind = 'recipe'", formula):
            if _still(index, raw, formula):
                found.setdefault(raw, f"sprays the same mix as {question.same_as.name}")
        for panel in index.proving(formula):
            ground = index.get(index.sprayed(panel).ground)
            over = f", over {ground.name}" if ground else ""
            found.setdefault(
                panel, f"sprayed of the same mix as {question.same_as.name}, alone or inside another{over}"
            )
    yield found


_EVIDENCE = {
    "never-sprayed": ("status = 'never'", "never sprayed"),
    "changed": ("status = 'changed'", "changed since it was sprayed"),
    "no-reading": ("kind = 'panel' AND readings = 0", "no reading"),
    "two-answers": ("asked > 0", "two answers"),
}


def _evidence(index: Index, question: Question) -> Iterator[Reasons]:
    for name in sorted(question.evidence):
        where, said = _EVIDENCE[name]
        yield {text_of(raw): said for (raw,) in index.rows(f"SELECT id FROM doc WHERE {where} AND withdrawn = 0")}


def _old(index: Index, question: Question) -> Iterator[Reasons]:
    if not question.old_before:
        return
    found: Reasons = {}
    for recipe, panel in index.rows("SELECT recipe, panel FROM standard"):
        one = index.get(text_of(panel))
        if one is None:
            found[text_of(recipe)] = "its standard panel is not here"
        elif not one.seen_at:
            found[text_of(recipe)] = f"its standard {one.name} was never measured"
        elif one.seen_at < question.old_before:
            found[text_of(recipe)] = f"its standard {one.name} was last measured {one.seen_at[:10]}"
    yield found


def _judged(index: Index, question: Question) -> Iterator[Reasons]:
    if question.judged:
        found: Reasons = {}
        query = "SELECT judgement, panel, place, of, against FROM judged WHERE quality = ?"
        for judgement, panel, place, of, against in index.rows(query, (question.judged,)):
            said = _by_eye(index, question.judged, place, of, against)
            known = found.get(text_of(panel))
            found[text_of(panel)] = f"{known}; {said}" if known else f"by eye: {said}"
            found[text_of(judgement)] = f"a judgement: {question.judged}"
        qualities = sorted({quality for _, quality in index.rows("SELECT judgement, quality FROM judged")})
        if question.judged not in qualities:
            remedy = (
                f"Judged here: {', '.join(qualities)}."
                if qualities
                else "Nothing was judged by eye yet: sprayout judge."
            )
            raise SprayoutError(f"nothing was judged {question.judged!r}", remedy, place="judged")
        yield found


def _by_eye(index: Index, quality: str, place: int, of: int, against: bytes | None) -> str:
    """Return how a piece was judged: ordered with others, or held against one."""
    if against is not None:
        other = index.get(text_of(against))
        return f"{quality} than {other.name if other else 'another'}"
    if not place:
        return f"what another was {quality} than"
    return f"{quality}, place {place} of {of}" if of > 1 else quality


_CONDITIONS: tuple[
    tuple[Callable[[Index, Question], Iterable[Reasons]], Callable[[Index, str], list[str]]], ...
] = (
    (_uses, Index.proving), (_same, Index.proving), (_evidence, Index.panels_of), (_old, Index.panels_of),
    (_judged, Index.panels_of),
)  # fmt: skip
