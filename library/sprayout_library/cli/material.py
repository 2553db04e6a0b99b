"""sprayout material: a stock product with its role and its facts."""

from __future__ import annotations

from typing import Any, get_args

import click

from sprayout_core.documents import Role
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say

ROLES = get_args(Role)
CAUTIONS = ("isocyanate", "solvent", "waterborne", "spray-mist", "dust", "skin", "see-sheet")


def number(text: str) -> str:
    """Return decimal text as a document holds it; a decimal comma is taken too."""
    from sprayout_core.ratio import decimal_text, exact

    return decimal_text(exact(text.strip().replace(",", ".")))


class _RoleWord(click.Choice[str]):
    """One of the roles; "ground" is what several of them are used as, and is told so."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if str(value).casefold() in ("ground", "base", "basecoat"):
            self.fail(f"{value!r} is a use, not a role: is it metallic, solid or sealer?", param, ctx)
        return super().convert(value, param, ctx)


@click.command("material")
@click.argument("name")
@click.option("--role", type=_RoleWord(ROLES), help="What it is for; needed for a new one.")
@click.option("--density", metavar="G/ML", help="Density in g/ml.")
@click.option("--solids", metavar="PERCENT", help="Solids by volume.")
@click.option("--flake", metavar="UM", help="Flake or pearl size in um.")
@click.option("--voc", metavar="G/L", help="VOC in g/l, as its sheet says.")
@click.option("--lot", help="A lot that is on the shelf.")
@click.option("--caution", multiple=True, type=click.Choice(CAUTIONS), help="As its safety data sheet says; repeat it.")
@click.option("--alias", multiple=True, help="What else it is called.")
@click.option("--tag", multiple=True, help="A word to find it by; repeat it.")
@click.pass_obj
def command(desk: Desk, /, name: str, role: str | None, **given: Any) -> None:
    """Record the material NAME, or add facts to it."""
    from sprayout_core.compare import Add, Put
    from sprayout_core.errors import SprayoutError

    facts = {
        "role": role,
        "density_g_per_ml": given["density"],
        "volume_solids_percent": given["solids"],
        "flake_um": given["flake"],
        "voc_g_per_l": given["voc"],
    }
    facts = {member: (value if member == "role" else number(value)) for member, value in facts.items() if value}
    sets = {"lots": [given["lot"]] if given["lot"] else [], "cautions": list(given["caution"])}
    sets |= {"aliases": list(given["alias"]), "tags": list(given["tag"])}
    with desk.store() as store:
        writer = desk.writer(store)
        known = desk.names(store).matching(name, "material")
        if not known:
            if role is None:
                raise SprayoutError(f"{name!r} is new: what is it for?", f"Give --role: {', '.join(ROLES)}.")
            document = writer.new("material", {"title": name, **facts, **{k: v for k, v in sets.items() if v}})
            writer.save([document], f"Material {name}")
            say(f"{name}: {role}, recorded.")
            return
        held = desk.document(store, name, "material")
        changes = [Put(member, value) for member, value in facts.items()]
        changes += [Add(member, value) for member, values in sets.items() for value in values]  # type: ignore[misc]
        document = writer.edited(held, changes)
        if document is held:
            say(f"{held.name}: nothing new. `sprayout show` tells what is known.")
            return
        writer.save([document], f"Facts of {held.name}")
        say(f"{held.name}: recorded.")
