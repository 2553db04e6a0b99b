"""Finding: every condition gives the documents that meet it and why; what meets all of them is shown."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NamedTuple

from sprayout_core.errors import SprayoutError
from sprayout_library.index.opened import COLUMNS, Index, Known, known
from sprayout_library.index.rows import key, text_of

if TYPE_CHECKING:
    from sprayout_library.index.targets import Target

__all__ = ["Found", "Near", "Question", "Shown", "Uses", "find"]

_TEXTS = ("title", "label", "aliases", "notes", "tags", "materials")
_SAID = {"title": "its name", "label": "its label", "aliases": "an alias", "notes": "a note", "tags": "a tag",
         "materials": "what is in it"}  # fmt: skip
Reasons = dict[str, str]
"""Why each document meets one condition, by id."""


class Met(NamedTuple):
    """What meets one condition, and which panels stand for a mix or a recipe that meets it.

    What is said of a mix as it stands holds for the panels that prove it so; a name holds for all its panels.
    """

    reasons: Reasons
    panels: Callable[[Index, str], list[str]]


@dataclass(frozen=True, slots=True)
class Uses:
    """What has to be in it: a material (or a formula), between two percentages of the mix."""

    thing: Known
    low: Fraction | None = None
    high: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Near:
    """What colour it has to be near; `stage` narrows it to bare, cleared or polished panels."""

    target: Target
    stage: str = ""
    within: float | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """What is looked for; every condition that is given has to be met.

    same_as       a formula whose exact composition is looked for
    never, no_reading, two_answers   conditions on the evidence, asked where they are named in `evidence`
    old_before    standards last measured before this time (RFC 3339); empty where it does not matter
    judged        the quality that a panel was judged by eye on
    """

    words: str = ""
    kinds: tuple[str, ...] = ()
    uses: tuple[Uses, ...] = ()
    same_as: Known | None = None
    evidence: frozenset[str] = frozenset()
    old_before: str = ""
    judged: str = ""
    near: Near | None = None
    limit: int = 20


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found: what it is, why, and for a colour search how far it is (CIEDE2000)."""

    what: Known
    because: tuple[str, ...]
    difference: float | None = None
    spot: str = ""

    def data(self) -> dict[str, Any]:
        """Return it as plain members for JSON."""
        one = self.what
        said: dict[str, Any] = {"kind": one.kind, "id": one.id, "title": one.title, "label": one.label,
                                "status": one.status, "because": list(self.because)}  # fmt: skip
        return said | ({} if self.difference is None else {"ciede2000": round(self.difference, 4), "spot": self.spot})


@dataclass(frozen=True, slots=True)
class Shown:
    """What was found, up to the limit, and whether there is more."""

    found: tuple[Found, ...]
    more: int = field(default=0)


def find(index: Index, question: Question) -> Shown:
    """Return what meets every condition of a question.

    Raises SprayoutError where nothing is asked.
    """
    conditions = [Met(one, panels) for make, panels in _CONDITIONS for one in make(index, question)]
    if question.near is not None:
        return _near(index, question, conditions)
    if not conditions and not question.words and not question.kinds:
        raise SprayoutError("nothing to look for", "Give words, or one of the options: sprayout find --help.")
    if not conditions:
        return _by_words_alone(index, question)
    if question.words:
        conditions.append(Met(dict(_words(index, question.words)), Index.panels_of))
    return _all_met(index, question, [condition.reasons for condition in conditions])


def _all_met(index: Index, question: Question, conditions: Sequence[Reasons]) -> Shown:
    first, *others = sorted(conditions, key=len)
    meeting = [identity for identity in first if all(identity in other for other in others)]
    kept: list[Found] = []
    more = 0
    for identity in meeting:
        if len(kept) >= question.limit and not question.kinds:
            more = len(meeting) - len(kept)
            break
        one = index.get(identity)
        if one is None or (question.kinds and one.kind not in question.kinds):
            continue
        if len(kept) >= question.limit:
            more += 1
            continue
        reasons = (condition[identity] for condition in conditions)
        kept.append(Found(one, tuple(dict.fromkeys(reason for reason in reasons if reason))))
    kept.sort(key=lambda found: (found.what.withdrawn, found.what.kind, found.what.name.casefold(), found.what.id))
    return Shown(tuple(kept), more)


# ---- words ----------------------------------------------------------------------------------------------


def tokens(text: str) -> list[str]:
    """Return the words of a search: letters and digits, in the order given."""
    return re.findall(r"[^\W_]+", text.casefold())


def _by_words_alone(index: Index, question: Question) -> Shown:
    kept: list[Found] = []
    more = 0
    for identity, reason in _words(index, question.words, question.kinds):
        if len(kept) >= question.limit:
            more = 1
            break
        one = index.get(identity)
        if one is not None:
            kept.append(Found(one, (reason,) if reason else ()))
    return Shown(tuple(kept), more)


def _words(index: Index, text: str, kinds: Sequence[str] = ()) -> Iterator[tuple[str, str]]:
    """Yield the documents that hold every word, named ones first, and where the words stand."""
    words = tokens(text)
    if text and not words:
        raise SprayoutError(f"{text!r} holds no word", "Give letters or digits.", place="words")
    seen: set[bytes] = set()
    kind = f" AND doc.kind IN ({','.join('?' * len(kinds))})" if kinds else ""
    for columns in (_TEXTS[:3], _TEXTS) if words else (_TEXTS,):
        newer: list[frozenset[bytes]] = []
        for level in index.levels:
            query, parameters = _asked(words, columns, fast=level.words)
            said = f"SELECT doc.id, {', '.join('doc.' + name for name in _TEXTS)} FROM {query}{kind}"
            for raw, *texts in level.db.execute(said, [*parameters, *kinds]):
                if raw in seen or any(raw in touched for touched in newer):
                    continue
                seen.add(raw)
                yield text_of(raw), _where(words, texts)
            newer.append(level.touched() if level is not index.levels[-1] else frozenset())


def _asked(words: Sequence[str], columns: Sequence[str], *, fast: bool) -> tuple[str, list[str]]:
    """Return the query for words: full-text where SQLite has it, else every row looked through."""
    if not words:
        return "doc WHERE 1", []
    if fast:
        said = " AND ".join(f'"{word}"*' for word in words)
        said = f"{{{' '.join(columns)}}} : ({said})" if len(columns) < len(_TEXTS) else said
        return "words JOIN doc ON doc.n = words.rowid WHERE words MATCH ?", [said]
    joined = " || ' ' || ".join(f"doc.{name}" for name in columns)
    return "doc WHERE " + " AND ".join([f"lower({joined}) LIKE ?"] * len(words)), [f"%{word}%" for word in words]


def _where(words: Sequence[str], texts: Sequence[str]) -> str:
    """Return in which of its texts the words stand, in words."""
    told = []
    for name, text in zip(_TEXTS, texts, strict=True):
        inside = tokens(text or "")
        hits = [word for word in words if any(one.startswith(word) for one in inside)]
        if hits:
            told.append((name, text, hits))
    if not told:
        return ""
    named = {word for name, _, hits in told if name in _TEXTS[:3] for word in hits}
    shown = [
        f"{_SAID[name]}: {_line(text, hits)}" if name in ("notes", "materials", "tags", "aliases") else _SAID[name]
        for name, text, hits in told
        if name in _TEXTS[:3] or set(hits) - named
    ]
    return "; ".join(shown[:3])


def _line(text: str, hits: Sequence[str]) -> str:
    lines = text.split("\n")
    chosen = [line for line in lines if any(one.startswith(hit) for one in tokens(line) for hit in hits)]
    return ", ".join(line[:60] for line in (chosen or lines)[:2])


# ---- conditions -----------------------------------------------------------------------------------------


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
        for judgement, panel in index.rows("SELECT judgement, panel FROM judged WHERE quality = ?", (question.judged,)):
            found[text_of(panel)] = f"judged by eye: {question.judged}"
            found[text_of(judgement)] = f"a judgement: {question.judged}"
        yield found


_CONDITIONS: tuple[
    tuple[Callable[[Index, Question], Iterable[Reasons]], Callable[[Index, str], list[str]]], ...
] = (
    (_uses, Index.proving), (_same, Index.proving), (_evidence, Index.panels_of), (_old, Index.panels_of),
    (_judged, Index.panels_of),
)  # fmt: skip


# ---- colour ---------------------------------------------------------------------------------------------


def _near(index: Index, question: Question, conditions: list[Met]) -> Shown:
    """Return the nearest panels among those that meet the other conditions, or prove what meets them."""
    from sprayout_library.index.colour_search import nearest_panels

    assert question.near is not None
    if question.kinds and set(question.kinds) != {"panel"}:
        raise SprayoutError("only panels have a colour", "Leave the kind out.", place="kind")
    if question.words:
        conditions = [*conditions, Met(dict(_words(index, question.words)), Index.panels_of)]
    allowed = [_panels(index, condition) for condition in conditions]
    inside = set.intersection(*(set(one) for one in allowed)) if allowed else None
    found = []
    for panel, spot, difference in nearest_panels(index, question.near, question.limit, inside):
        one = index.get(panel)
        if one is not None:
            reasons = [_made_of(index, panel), *(_told(index, panel, *condition[panel]) for condition in allowed)]
            found.append(Found(one, tuple(dict.fromkeys(reason for reason in reasons if reason)), difference, spot))
    return Shown(tuple(found))


def _panels(index: Index, condition: Met) -> dict[str, tuple[str, str]]:
    """Return the panels that meet a condition or stand for what meets it, with what met it and why."""
    found = {identity: (identity, reason) for identity, reason in condition.reasons.items()}
    for identity, reason in condition.reasons.items():
        for panel in condition.panels(index, identity):
            found.setdefault(panel, (identity, reason))
    return found


def _made_of(index: Index, panel: str) -> str:
    """Return what a panel was sprayed of and over what, in names."""
    sprayed = index.sprayed(panel)
    names = [
        one.name for name in ((sprayed.recipe,) if sprayed.recipe else sprayed.formulas) if (one := index.get(name))
    ]
    ground = index.get(sprayed.ground)
    told = " and ".join(names[:3])
    return (f"of {told}" if told else "") + (f"{' ' if told else ''}over {ground.name}" if ground else "")


def _told(index: Index, panel: str, met: str, reason: str) -> str:
    if met == panel:
        return reason
    one = index.get(met)
    return f"of {one.name if one else met}: {reason}"


def all_of(index: Index, kind: str) -> Iterator[Known]:
    """Yield every document of a kind, by name."""
    rows = (known(row) for row in index.rows(f"SELECT {COLUMNS} FROM doc WHERE kind = ?", (kind,)))
    yield from sorted(rows, key=lambda one: (one.name.casefold(), one.id))
