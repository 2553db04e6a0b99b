"""sprayout bottle: is a new bottle as strong as the old lot, and of the same hue."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft


@click.command("bottle")
@click.argument("dye")
@click.argument("panels", nargs=-1)
@click.option("--old", multiple=True, metavar="PANEL", help="A panel of the old lot, sprayed beside them. Repeat it.")
@click.option("--lot", default="", help="The new lot: its panels are found by the cup they were sprayed from.")
@click.option("--mix", "mixes", multiple=True, metavar="MIX", help="Correct this mix for it. Repeat it.")
@click.option("--geometry", help="In which geometry; by default the one most panels were read in.")
@click.option("--keep", "keep", flag_value="keep", help="Put it on my shelf with this strength.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, dye: str, panels: tuple[str, ...], old: tuple[str, ...], lot: str, mixes: tuple[str, ...],
    geometry: str | None, keep: str | None, form: str | None,
) -> None:  # fmt: skip
    """Check a new bottle of DYE by PANELS sprayed from it: one to three, two coats each, over something light.

    The old lot is what all other panels taught of the dye; panels of it sprayed beside the new ones make it surer.

    \b
    sprayout bottle "weak teal" NB-1 NB-2 --old NB-3 --mix "Kelp glass"
    """
    from sprayout_library.film.bottles import bottle_check

    with desk.store() as store:
        names = desk.names(store)
        found = bottle_check(store, names, dye, panels, old, lot, mixes, geometry)
        if keep:
            from sprayout_core.documents import Material
            from sprayout_library.film.shelf import Own, put_on_shelf

            material = store.get(found.identity)
            assert isinstance(material, Material)
            how = f"checked on {', '.join(found.new)}"
            value, give = (found.strength.value, found.strength.uncertainty) if found.distinguishable else (1.0, 0.0)
            put_on_shelf(material, Own(material.name, "", lot, value, give, how))
    if form == "json":
        json_out(found.data())
        return
    beside = f"beside {', '.join(found.old)}" if found.old else "beside all that was learned of it"
    say(f"{found.dye}, new bottle ({', '.join(found.new)}) {beside}, {found.geometry}", bold=True)
    say(f"  {found.words}")
    rows(
        [
            ("strength", f"{found.strength.value:.2f} +- {2 * found.strength.uncertainty:.2f} of the old lot"),
            ("hue", f"{found.hue.value:.1f} +- {2 * found.hue.uncertainty:.1f} dE00 once the strength is taken out"),
        ]
    )
    for one in found.mixes:
        heading(one.mix)
        if not found.distinguishable:
            say(f"  as written: {one.exactly}")
            continue
        rows([("exactly", one.exactly), ("simple, within what is known", one.ratio)])
        if one.remark:
            say(f"  {one.remark}")
    if keep:
        say("On your shelf now: sprayout shelf for RECIPE pours by it.")
    if found.advice:
        soft(f"  {found.advice}")
