"""Keeping both answers: one stands, each other becomes a formula of its own with its lineage."""

from __future__ import annotations

from sprayout_core.compare import ABSENT
from sprayout_core.documents import Document, Formula, digest, tree
from sprayout_core.errors import SprayoutError
from sprayout_library.record.answers import Answered, Question
from sprayout_library.record.writer import Writer

__all__ = ["kept_apart"]


def _order(held: Formula, answer: Answered) -> dict[str, list[str]]:
    """Return the order of pouring, where what stands names just the components of an answer."""
    order = (held.mix.order if held.mix else None) or []
    return {"order": list(order)} if sorted(order) == sorted(answer.value["items"]) else {}


def kept_apart(writer: Writer, held: Document, question: Question) -> tuple[Answered, list[Document]]:
    """Return the answer that stays (ours, else the first) and new formulas for the others.

    Raises SprayoutError where the disagreement is not about a mix.
    """
    if question.atom != "mix" or not isinstance(held, Formula):
        raise SprayoutError("only two answers to a mix can both be kept", "Choose one of them.")
    real = [one for one in question.answers if one.value is not ABSENT]
    stays = next((one for one in real if one.whose.startswith("ours")), real[0])
    made = []
    for one in real:
        if one is stays:
            continue
        whose = one.whose.partition(": ")[2]
        facts = {
            "title": f"{held.name} ({whose})",
            "mix": one.value | _order(held, one),
            "spray_ready": tree(held).get("spray_ready"),
        }
        derived = {"id": held.id, "digest": digest(held)}
        made.append(writer.new("formula", facts, derived=derived))
    return stays, made
