"""Finding: every condition gives the documents that meet it and why; what meets all of them is shown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sprayout_core.errors import SprayoutError
from sprayout_library.index.conditions import Met, Reasons, conditions_of
from sprayout_library.index.opened import Index
from sprayout_library.index.question import Found, Question, Shown
from sprayout_library.index.words import holding

__all__ = ["find"]


def find(index: Index, question: Question) -> Shown:
    """Return what meets every condition of a question.

    Raises SprayoutError where nothing is asked.
    """
    conditions = conditions_of(index, question)
    if question.near is not None:
        return _near(index, question, conditions)
    if not conditions and not question.words and not question.kinds:
        raise SprayoutError("nothing to look for", "Give words, or one of the options: sprayout find --help.")
    if not conditions:
        return _by_words_alone(index, question)
    if question.words:
        conditions.append(Met(dict(holding(index, question.words)), Index.panels_of))
    return _all_met(index, question, [_reasons(index, condition, question.kinds) for condition in conditions])


def _reasons(index: Index, condition: Met, kinds: Sequence[str]) -> Reasons:
    """Return why things meet a condition; who asks for panels is told of those that stand for what meets it too."""
    if "panel" not in kinds:
        return condition.reasons
    return {panel: _told(index, panel, *how) for panel, how in _panels(index, condition).items()}


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


def _by_words_alone(index: Index, question: Question) -> Shown:
    kept: list[Found] = []
    more = 0
    for identity, reason in _holding(index, question):
        one = index.get(identity)
        if one is None or (question.kinds and one.kind not in question.kinds):
            continue
        if len(kept) >= question.limit:
            more = 1
            break
        kept.append(Found(one, (reason,) if reason else ()))
    return Shown(tuple(kept), more)


def _holding(index: Index, question: Question) -> Iterator[tuple[str, str]]:
    """Yield what holds the words, and why; with the panels of what holds them where panels are asked for."""
    if "panel" not in question.kinds or not question.words:
        yield from holding(index, question.words, question.kinds)
        return
    seen: set[str] = set()
    for identity, reason in holding(index, question.words):
        for one in (identity, *index.panels_of(identity)):
            if one not in seen:
                seen.add(one)
                yield one, _told(index, one, identity, reason)


def _near(index: Index, question: Question, conditions: list[Met]) -> Shown:
    """Return the nearest panels among those that meet the other conditions, or prove what meets them."""
    from sprayout_library.index.colour_search import nearest_panels

    assert question.near is not None
    if question.kinds and set(question.kinds) != {"panel"}:
        raise SprayoutError("only panels have a colour", "Leave the kind out.", place="kind")
    if question.words:
        conditions = [*conditions, Met(dict(holding(index, question.words)), Index.panels_of)]
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
