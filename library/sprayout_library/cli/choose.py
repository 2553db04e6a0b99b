"""sprayout choose: settle two answers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say

if TYPE_CHECKING:
    from sprayout_core.documents import Document


@click.command("choose")
@click.argument("name")
@click.argument("answer")
@click.option("--about", metavar="WHAT", help="Which disagreement, where there are several.")
@click.option("--because", metavar="WORDS", help="Why; kept as a note.")
@click.pass_obj
def command(desk: Desk, /, name: str, answer: str, about: str | None, because: str | None) -> None:
    """Settle a disagreement in NAME: ANSWER is its letter, ours, theirs, or both.

    "both" keeps the other answer as a mix of its own.
    """
    from sprayout_core.compare import Add, edit, settle
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import now_text
    from sprayout_library.record.answers import answer_named, open_answers
    from sprayout_library.record.both import kept_apart

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        entry = names.find(name)
        questions = [one for one in open_answers(store, names, entry.id) if about in (None, one.atom)]
        if not questions:
            raise SprayoutError(f"no two answers in {entry.name}", "See `sprayout answers`.")
        if len(questions) > 1:
            known = ", ".join(question.atom for question in questions)
            raise SprayoutError("which disagreement?", f"Give --about with one of: {known}.")
        question = questions[0]
        held = store.get(entry.id)
        assert held is not None
        others: list[Document] = []
        if answer.strip().lower() == "both":
            chosen, others = kept_apart(writer, held, question)
        else:
            chosen = answer_named(question, answer)
        document = settle(held, store.copy_id, question.atom, chosen.value, now_text(writer.clock()))
        if because:
            note = {"text": because, "by": writer.by, "at": now_text(writer.clock())}
            document = edit(document, store.copy_id, [Add("notes", note)], now_text(writer.clock()))
        writer.save([document, *others], f"Chose for {held.name}")
        say(f"{held.name}: {chosen.told} stands now.")
        for other in others:
            say(f"{other.name}: kept as a mix of its own.")
