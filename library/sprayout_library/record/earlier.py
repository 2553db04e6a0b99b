"""Bringing an earlier version back: the changes that lead from what stands now to what stood then."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_core.compare import ABSENT, Add, Change, Put, TakeAway, TakeOut, changes, questions_of
from sprayout_core.documents import Document, Layer, Policy, atom_for
from sprayout_core.errors import SprayoutError

__all__ = ["changes_back"]


def changes_back(now: Document, then: Document) -> Sequence[Change]:
    """Return the edit that makes a document what it was in an earlier version.

    What is said in words (title, notes, tags) stays as it is now. Raises SprayoutError while answers compete
    now, or did then.
    """
    for document, when in ((now, "now"), (then, "in that version")):
        if questions_of(document):
            raise SprayoutError(f"{document.name}: two answers are open {when}", "Choose first: sprayout answers.")
    found: list[Change] = []
    for one in changes(now, then):
        if one.record or one.layer is Layer.WORDS:
            continue
        member, _, _ = one.place.partition("/")
        row = atom_for(now.kind, member)
        if row is not None and row.policy is Policy.SET:
            if one.before is not ABSENT:
                found.append(TakeOut(member, one.before))
            if one.after is not ABSENT:
                found.append(Add(member, one.after))
        elif one.place in ("mix/scale", "mix/order") or one.after is not ABSENT:
            found.append(Put(one.place, one.after) if one.after is not ABSENT else TakeAway(one.place))
        else:
            found.append(TakeAway(one.place))
    # What is added to a set goes in before the same thing under another key goes out.
    return [one for one in found if not _undone(one, found)]


def _undone(one: Change, found: Sequence[Change]) -> bool:
    """Return whether a change to a set is taken back by another: the same member under another key."""
    if isinstance(one, Add):
        return TakeOut(one.member, one.value) in found
    return isinstance(one, TakeOut) and Add(one.member, one.value) in found
