"""sprayout choose: settle two answers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say

if TYPE_CHECKING:
    from sprayout_core.documents import Document
    from sprayout_library.record import Names, Writer


@click.command("choose")
@click.argument("name")
@click.argument("answer")
@click.option("--about", metavar="WHAT", help="Which disagreement, where there are several.")
@click.option("--because", metavar="WORDS", help="Why; kept as a note.")
@click.pass_obj
def command(desk: Desk, /, name: str, answer: str, about: str | None, because: str | None) -> None:
    """Settle a disagreement in NAME: ANSWER is its letter, ours, theirs, or both.

    "both" keeps the other answer as a mix of its own. "stands" says that an earlier choice stands, where new
    evidence came in since.
    """
    from sprayout_core.compare import Add, edit
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import now_text
    from sprayout_library.record.answers import answer_named, open_answers, settled_by
    from sprayout_library.record.both import kept_apart
    from sprayout_library.record.settled import CHOSE

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        entry = names.find(name)
        if answer.strip().lower() == "stands":
            _stands(writer, names, entry.id, because)
            return
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
        document = settled_by(held, question, chosen, store.copy_id, now_text(writer.clock()))
        if because:
            note = {"text": because, "by": writer.by, "at": now_text(writer.clock())}
            document = edit(document, store.copy_id, [Add("notes", note)], now_text(writer.clock()))
        writer.save([document, *others], f"{CHOSE}{held.name}")
        say(f"{held.name}: {chosen.told} stands now.")
        for other in others:
            say(f"{other.name}: kept as a mix of its own.")


def _stands(writer: Writer, names: Names, identity: str, because: str | None) -> None:
    """Say that an earlier choice stands: a note keeps that somebody looked at what came in since."""
    from sprayout_core.compare import Add
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import now_text
    from sprayout_library.record.settled import LOOKED, fresh_evidence

    fresh = fresh_evidence(writer.store, names, identity)
    if not fresh:
        raise SprayoutError(
            f"no choice in {names.label(identity)} has new evidence", "What was chosen stands; nothing is to do."
        )
    held = writer.store.get(identity)
    assert held is not None
    text = f"Looked again, it stands: {because or '; '.join(line for one in fresh for line in one.lines)}"[:2000]
    note = {"text": text, "by": writer.by, "at": now_text(writer.clock())}
    writer.save([writer.edited(held, [Add("notes", note)])], f"{LOOKED}{held.name}")
    for one in fresh:
        say(f"{held.name}: {one.stands} stands.")
