"""sprayout dropper: the shop's own droppers, each with its own drop."""

from __future__ import annotations

import click

from sprayout_library.cli.bench_words import number_in, rounded
from sprayout_library.cli.told import rows, say, soft


@click.command("dropper")
@click.argument("name", required=False)
@click.option("--drops", type=int, help="How many drops you counted; 20 or more.")
@click.option("--made", metavar="ML", help="What they made, in ml.")
@click.option("--remove", "what", flag_value="remove", help="Forget it.")
def command(name: str | None, drops: int | None, made: str | None, what: str | None) -> None:
    """Record the dropper NAME from counted drops; without a name, tell those there are. No drop size is assumed."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Dropper
    from sprayout_library.today.tools import forget_tool, keep_tool, tools

    if name is None:
        table = [(one.name, f"a drop is {rounded(one.drop_ml, 4)} ml") for one in tools().droppers.values()]
        rows(table)
        if not table:
            say("No dropper yet.")
            soft("Begin: count drops into a small measure, then sprayout dropper pipette --drops 40 --made 2ml")
        return
    if what == "remove":
        forget_tool("droppers", name)
        say(f"{name}: forgotten.")
        return
    if drops is None or made is None:
        raise SprayoutError(f"how large is a drop of {name!r}?", "Count 20 or more: --drops 40 --made 2ml.")
    dropper = Dropper.counted(name, drops, number_in(made, "ml"))
    keep_tool("droppers", dropper)
    say(f"{name}: a drop is {rounded(dropper.drop_ml, 4)} ml, recorded.")
