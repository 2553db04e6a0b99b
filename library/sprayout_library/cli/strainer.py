"""sprayout strainer: micrometres with mesh beside them; a bare number is questioned."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import rows, say


@click.command("strainer")
@click.argument("opening", required=False)
@click.option("--for", "material", metavar="MATERIAL", help="Would it hold this flake or pearl back?")
@click.pass_obj
def command(desk: Desk, /, opening: str | None, material: str | None) -> None:
    """Tell OPENING, such as "190 um" or "120 mesh", both ways; without one, the table."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import MESH_UM, holds_back, mesh_beside, parse_strainer

    if opening is None:
        rows([(f"{mesh} mesh", f"{um} um") for mesh, um in MESH_UM.items()])
        return
    um = parse_strainer(opening)
    say(mesh_beside(um))
    if material is None:
        return
    from sprayout_core.documents import Material
    from sprayout_core.ratio import exact

    with desk.store() as store:
        held = desk.document(store, material, "material")
        assert isinstance(held, Material)
        if held.flake_um is None:
            raise SprayoutError(
                f"the flake size of {held.name} is not recorded", "Give it: sprayout material NAME --flake UM."
            )
        if holds_back(um, exact(held.flake_um)):
            say(f"It holds {held.name} back ({held.flake_um} um): the pearl stays in the strainer.", fg="yellow")
        else:
            say(
                f"{held.name} is {held.flake_um} um; how much wider the opening should be is for its data sheet to say."
            )
