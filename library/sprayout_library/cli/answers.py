"""sprayout answers: two answers, with the evidence beside each."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import date_of, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.record.answers import Question
    from sprayout_library.record.settled import Fresh


@click.command("answers")
@click.argument("name", required=False)
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, name: str | None, form: str | None) -> None:
    """List what shops disagree on; with NAME, look at it with the evidence beside each answer.

    What was settled and has new evidence since is listed too. Nothing waits: later is as good as now.
    """
    from sprayout_library.cli.waiting import freshly_seen, open_questions

    with desk.store() as store:
        names, store = desk.names(store), store.to_look_at()
        only = names.find(name).id if name else None
        found = open_questions(store, names, only)
        fresh = freshly_seen(store, names, only)
        if form == "json":
            json_out([*(one.data() for one in found), *(one.data() for one in fresh)])
            return
        if not found and not fresh:
            say("No two answers anywhere." if name is None else f"No two answers in {names.label(str(only))}.")
            return
        for question in found:
            _tell(question)
        if fresh:
            tell_fresh(fresh)


def _tell(question: Question) -> None:
    heading(f"{question.title}: {question.words}")
    for answer in question.answers:
        when = f", {date_of(answer.at)}" if answer.at else ""
        evidence = f"; {answer.evidence}" if answer.evidence else ""
        say(f"  {answer.letter})  {answer.told}")
        say(f"      {answer.whose}{when}{evidence}")
        if answer.last:
            say("      sprayed last: sheets print this one, marked")
        for panel in answer.behind:
            over = f" over {panel.over}" if panel.over else ""
            say(f"      {panel.name}{over}, {panel.shop}, {date_of(panel.at)}")
            seen = [(one.way, date_of(one.at), one.told) for one in panel.seen]
            rows(seen or [("nothing was measured or judged of it yet",)], indent="        ")
    if not any(answer.behind for answer in question.answers) and any(answer.panels for answer in question.answers):
        soft(f'  To look at the evidence: sprayout answers "{question.title}"')
    both = ", or both" if question.atom == "mix" else ""
    soft(f'  To choose: sprayout choose "{question.title}" {question.answers[0].letter}{question.option}{both}')


def tell_fresh(fresh: list[Fresh]) -> None:
    """Tell what was settled and has new evidence since."""
    heading("Settled, with new evidence since")
    for one in fresh:
        say(f"  {one.title}: {one.words}, {one.by}, {date_of(one.at)}: {one.stands}")
        rows([(line,) for line in one.lines], indent="      ")
        soft(f'    It stands: sprayout choose "{one.title}" stands. Or write it anew.')
