"""sprayout gaps: can a stranger spray it? What another shop would have to guess."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.guessed import tell_guesses
from sprayout_library.cli.told import heading, json_out, say


@click.command("gaps")
@click.argument("name")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, name: str, form: str | None) -> None:
    """Can a stranger spray NAME (a recipe or a mix)? Lists what is not said, and how to say it."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.about import evidence_about
    from sprayout_library.record.gaps import gaps_of

    with desk.store() as store:
        names, store = desk.names(store), store.to_look_at()
        document = desk.document(store, name)
        if document.kind not in ("recipe", "formula"):
            raise SprayoutError(f"{document.name} is a {document.kind}: nobody sprays it", "Name a recipe or a mix.")
        found = gaps_of(document, store.find, evidence_about(store, document), names.label)
        if form == "json":
            json_out([gap.data() for gap in found])
            return
        if not found:
            say(f"{document.name}: nothing is left to guess.")
            return
        hindering = [gap for gap in found if gap.hinders == "yes"]
        say(
            f"{document.name}: {'a stranger cannot spray it yet' if hindering else f'{len(found)} things to guess'}.",
            bold=True,
        )
        for title, kept in (
            ("First of all", hindering),
            ("Would be guessed", [gap for gap in found if gap.hinders != "yes"]),
        ):
            if kept:
                heading(title)
                tell_guesses((gap.about, gap.question, gap.remedy) for gap in kept)
