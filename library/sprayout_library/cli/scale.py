"""sprayout scale: the shop's own scales, with the step they show."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.bench_words import number_in, rounded
from sprayout_library.cli.told import rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.mix import Scale


@click.command("scale")
@click.argument("name", required=False)
@click.option("--step", metavar="G", help="The smallest step it shows, such as 0.1g.")
@click.option("--holds", metavar="G", help="The most it carries.")
@click.option("--remove", "what", flag_value="remove", help="Forget it.")
def command(name: str | None, step: str | None, holds: str | None, what: str | None) -> None:
    """Record the scale NAME with its step; without a name, tell those there are."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Scale
    from sprayout_library.today.tools import forget_tool, keep_tool, tools

    if name is None:
        table = [
            (one.name, f"steps of {rounded(one.resolution_g, 3)} g", _most(one)) for one in tools().scales.values()
        ]
        rows(table)
        if not table:
            say("No scale yet.")
            soft("Begin: sprayout scale bench --step 0.1g --holds 2000g")
        return
    if what == "remove":
        forget_tool("scales", name)
        say(f"{name}: forgotten.")
        return
    if step is None:
        raise SprayoutError(f"what is the smallest step {name!r} shows?", "Give --step 0.1g.")
    scale = Scale(name, number_in(step, "g"), number_in(holds, "g") if holds else None)
    if scale.capacity_g is not None and scale.resolution_g > scale.capacity_g:
        raise SprayoutError("one step is more than it carries", "Give the smallest step it shows, in g.")
    keep_tool("scales", scale)
    say(f"{name}: steps of {rounded(scale.resolution_g, 3)} g, recorded.")


def _most(scale: Scale) -> str:
    return f"up to {rounded(scale.capacity_g)} g" if scale.capacity_g else ""
