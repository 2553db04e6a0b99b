"""sprayout reach: which mix, over which ground, in how many coats reaches a colour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.film.reaching import Reached


@click.command("reach")
@click.argument("target")
@click.option("--but", metavar="WORDS", help='Move it: "lighter, not redder", "2 cleaner", "a little darker".')
@click.option("--with", "dyes", multiple=True, metavar="DYE", help="Only with these; by default all that were learned.")
@click.option("--over", multiple=True, metavar="GROUND", help="Only over these; by default all that have a reading.")
@click.option("--carrier", metavar="NAME", help="Which carrier gives body; by default the one your mixes use most.")
@click.option("--coats", default="1 to 8", show_default=True)
@click.option("--parts", default=12, show_default=True, type=click.IntRange(2, 24), help="Most parts in all.")
@click.option("--geometry", help="Only in this geometry; by default in all that the target was read in.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, target: str, but: str | None, form: str | None, **how: Any) -> None:
    """Find ways to TARGET: a panel (KF-4, or KF-2/5 for one step of it), read by a meter or a card, or "L* a* b*".

    Every whole-number ratio is tried, over every ground, in every count of coats; what is shown differs really.
    A proposal is no promise: spray it and look.

    \b
    sprayout reach KF-4 --but "lighter, not redder"
    sprayout reach "41.5 -18 -22" --with violet --with moss --over bronze --coats "2 to 5"
    """
    from sprayout_library.film.aims import wish_from_words
    from sprayout_library.film.reaching import reach

    with desk.store() as store:
        wish = wish_from_words(but) if but else None
        found = reach(store, desk.names(store), target, wish, **how)
    if form == "json":
        json_out(found.data())
    else:
        _tell(found)


def _tell(found: Reached) -> None:
    say(f"Towards {found.aim}, {found.view}", bold=True)
    told: set[str] = set()
    for place, one in enumerate(found.ways, 1):
        heading(f"{place}. {one.line}, {counted(one.coats, 'coat')} over {one.ground}")
        rows(
            [
                ("predicted", f"{one.difference:.1f} from it: {one.towards}"),
                ("to be expected", f"{one.expected:.1f} {one.worst}, all uncertainties in"),
            ]
        )
        for word in one.against:
            say(f"  goes {word}, which was not wanted", fg="yellow")
        for reason in one.reasons:
            if reason not in told:
                say(f"  {reason}")
            told.add(reason)
    say()
    for note in found.notes:
        soft(f"  {note}")
    if found.ways:
        soft("  Spray the first one on a small piece before the job; the safety data sheets and local rules hold.")
