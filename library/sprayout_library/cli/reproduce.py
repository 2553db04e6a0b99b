"""sprayout reproduce: why another shop's panel differs, and what to change next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.film.reproducing import Reproduced


@click.command("reproduce")
@click.argument("panel")
@click.option("--against", metavar="PANEL", help="Compare with this one; by default the recipe's standard.")
@click.option("--geometry", help="In which geometry; by default the commonest that both were read in.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, panel: str, against: str | None, geometry: str | None, form: str | None) -> None:
    """Report how PANEL, sprayed by another shop or on another day, reproduces the standard of its recipe.

    How much of the difference looks like film, ground, the strength of each dye, or the instrument; and what to
    change next.

    \b
    sprayout reproduce MY-1 --against KF-1
    """
    from sprayout_library.film.reproducing import reproduce

    with desk.store() as store:
        found = reproduce(store, desk.names(store), panel, against, geometry)
    if form == "json":
        json_out(found.data())
    else:
        _tell(found)


def _tell(found: Reproduced) -> None:
    by = f" ({found.shop})" if found.shop else ""
    say(f"{found.panel}{by} against {found.standard}, over {found.ground}, {found.geometry}, {found.view}", bold=True)
    rows([("differs by", f"{found.difference:.1f}: {found.towards}")])
    table = [(one.name, one.words, f"makes {one.difference:.1f}") for one in found.causes]
    if table:
        say("  Looks like")
        rows([*table, ("not explained", "", f"{found.unexplained:.1f}")], indent="    ")
    say(f"  Next: {found.advice}.")
    for note in found.notes:
        soft(f"  {note}")
