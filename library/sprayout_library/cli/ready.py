"""sprayout ready: what is done to a mix for one gun."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say


@click.command("ready")
@click.argument("formula")
@click.argument("name")
@click.option("--reduce", "reduce_", metavar="SHARE", help="How much reducer: 8% or 0.08.")
@click.option(
    "--of",
    "reduce_of",
    type=click.Choice(["mix", "whole"]),
    help="8% on top of the mix, or within the whole.",
)
@click.option("--reducer", metavar="MATERIAL", help="Which reducer.")
@click.option("--strain-pour", metavar="OPENING", help="Strainer at the pour, such as 160um.")
@click.option("--strain-gun", metavar="OPENING", help="Strainer in the cup of the gun.")
@click.option("--tip", "tip_mm", metavar="MM", help="Tip of the gun in mm.")
@click.option("--laid", type=click.Choice(["mist", "medium", "wet"]), help="How its coats are laid.")
@click.option("--gun", help="Which gun, in your words.")
@click.option("--body", metavar="WORDS", help="How it comes off the stick, in your words.")
@click.pass_obj
def command(desk: Desk, /, formula: str, name: str, reducer: str | None, **given: str | None) -> None:
    """Say what is done to FORMULA for the gun: NAME is yours, such as small or airbrush."""
    from sprayout_core.documents import Formula
    from sprayout_library.cli.shown import variant_words
    from sprayout_library.record import ready_changes

    given["reduce"] = given.pop("reduce_")
    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        held = desk.document(store, formula, "formula")
        assert isinstance(held, Formula)
        if reducer:
            given["reducer"] = names.find(reducer, "material").id
        document = writer.edited(held, ready_changes(held, name, given))
        if document is held:
            say(f"{held.name}, {name}: it stands so already.")
            return
        writer.save([document], f"{held.name}: spray-ready {name}")
        assert isinstance(document, Formula)
        say(f"{held.name}, {name}: {variant_words((document.spray_ready or {})[name], names)}.")
