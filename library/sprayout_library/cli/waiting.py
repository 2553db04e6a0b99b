"""What waits for a choice, or for a second look at one: nothing of it is loaded where names and history have none."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sprayout_library.record import Names
    from sprayout_library.record.answers import Question
    from sprayout_library.record.settled import Fresh
    from sprayout_library.store import Store

__all__ = ["freshly_seen", "open_questions"]


def open_questions(store: Store, names: Names, only: str | None = None) -> list[Question]:
    """Return what shops disagree on, or that of one document; see `record.answers.open_answers`."""
    if not any(only in (None, entry.id) for entry in names.in_question()):
        return []
    from sprayout_library.record.answers import open_answers

    return open_answers(store, names, only)


def freshly_seen(store: Store, names: Names, only: str | None = None) -> list[Fresh]:
    """Return the choices on which something was seen since; see `record.settled.fresh_evidence`."""
    from sprayout_library.record.choices import anything_seen_since

    if not anything_seen_since(store, only):
        return []
    from sprayout_library.record.settled import fresh_evidence

    return fresh_evidence(store, names, only)
