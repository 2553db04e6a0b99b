"""sprayout answers: two answers, with the evidence beside each."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import date_of, heading, json_out, say, soft


@click.command("answers")
@click.argument("name", required=False)
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, name: str | None, form: str | None) -> None:
    """List what shops disagree on, each answer with its shop, date and panels."""
    from sprayout_library.record.answers import open_answers

    with desk.store() as store:
        names = desk.names(store)
        only = names.find(name).id if name else None
        found = open_answers(store, names, only)
        if form == "json":
            json_out([question.data() for question in found])
            return
        if not found:
            say("No two answers anywhere.")
            return
        for question in found:
            heading(f"{question.title}: {question.words}")
            for answer in question.answers:
                when = f", {date_of(answer.at)}" if answer.at else ""
                say(f"  {answer.letter})  {answer.told}")
                say(f"      {answer.whose}{when}; {answer.evidence}")
            soft(f'  To choose: sprayout choose "{question.title}" {question.answers[0].letter}{question.option}')
