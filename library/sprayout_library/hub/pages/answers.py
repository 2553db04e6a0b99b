"""Two answers: what shops disagree on, the evidence of each, and choosing."""

from __future__ import annotations

from typing import Any

from sprayout_core.compare import Add, edit
from sprayout_core.documents import Document
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.answers import Question, answer_named, open_answers, settled_by
from sprayout_library.record.both import kept_apart
from sprayout_library.record.settled import CHOSE, fresh_evidence

__all__ = ["answer", "answers", "choose"]


def answers(visit: Visit) -> Reply:
    """Show every disagreement, and what was settled and has new evidence since."""
    fresh = fresh_evidence(visit.store, visit.names)
    return Reply("answers.html", {"questions": open_answers(visit.store, visit.names), "settled": fresh})


def answer(visit: Visit) -> Reply:
    """Show the disagreements of one document, each answer with the pieces sprayed of it."""
    document = visit.document(visit.asked.parts["id"])
    questions = open_answers(visit.store, visit.names, document.id)
    sprayed = [panel for question in questions for one in question.answers for panel in one.panels]
    shown: dict[str, Any] = {"document": document, "questions": questions, "pieces": visit.pieces(sprayed)}
    return Reply("answer.html", shown)


def choose(visit: Visit) -> Reply:
    """Settle one disagreement: one answer, or both, the other as a mix of its own."""
    held = visit.document(visit.asked.parts["id"])
    writer, asked = visit.writer(), visit.asked
    question = _question(visit, held.id, asked.said("about"))
    shown = set(asked.said("shown").split())
    if shown != {one.dot for one in question.answers}:
        raise SprayoutError("another answer came in meanwhile", "Look at all of them below, then choose again.")
    others: list[Document] = []
    if asked.said("answer") == "both":
        chosen, others = kept_apart(writer, held, question)
    else:
        chosen = answer_named(question, asked.said("answer"))
    document = settled_by(held, question, chosen, visit.store.copy_id, visit.at)
    if because := asked.said("because"):
        note = {"text": because[:2000], "by": writer.by, "at": visit.at}
        document = edit(document, visit.store.copy_id, [Add("notes", note)], visit.at)
    writer.save([document, *others], f"{CHOSE}{held.name}")
    return visit.go(f"/thing/{held.id}")


def _question(visit: Visit, identity: str, atom: str) -> Question:
    for question in open_answers(visit.store, visit.names, identity):
        if question.atom == atom:
            return question
    raise SprayoutError("nothing is asked there any more", "It was settled meanwhile: look at its versions.")
