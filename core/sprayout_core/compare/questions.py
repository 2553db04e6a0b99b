"""What waits for a choice in a document, asked by its record or by an edit that a withdrawal did not know."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_core.compare.state import ABSENT, dissolve
from sprayout_core.documents import Policy, atom_for, copy_of, number_of, tree

if TYPE_CHECKING:
    from sprayout_core.documents import Document

__all__ = ["late_edits", "questions_of"]


def late_edits(document: Document) -> tuple[str, ...]:
    """Return the atoms of a withdrawn document that were edited elsewhere before the withdrawal was known.

    Such an edit asks whether the document should stay withdrawn; its place stays filled.
    """
    if document.withdrawn is None:
        return ()
    state = dissolve(tree(document))
    covered: dict[str, int] = {}
    for value in state.atoms["withdrawn"].values.values():
        for copy, number in {} if value is ABSENT else value.items():
            covered[copy] = max(covered.get(copy, 0), number)
    late = []
    for name, live in state.atoms.items():
        row = atom_for(state.kind, name)
        if name == "withdrawn" or row is None or row.policy is not Policy.ASK:
            continue
        if any(number_of(dot) > covered.get(copy_of(dot), 0) for dot in live.values):
            late.append(name)
    return tuple(sorted(late))


def questions_of(document: Document) -> tuple[str, ...]:
    """Return the atoms of a document that wait for a choice, quiet ones left out."""
    asked = []
    for atom, answers in (document.questions or {}).items():
        row = atom_for(document.kind, atom)
        if row is None or row.policy is Policy.QUIET:
            continue
        if row.policy is Policy.WITHDRAWAL and all(answer.value is not None for answer in answers.values()):
            continue
        asked.append(atom)
    if late_edits(document):
        asked.append("withdrawn")
    return tuple(sorted(set(asked)))
