"""sprayout thin: body in words, and a viscosity cup's seconds told with their uncertainty."""

from __future__ import annotations

import click

from sprayout_library.cli.bench_words import number_in, rounded, spanned
from sprayout_library.cli.told import rows, say, soft

#: The flow off a stick, from thin to thick: what is seen, and what it is called here.
_WORDS = (
    ("runs off like water, leaves the stick wet only", "thin"),
    ("runs off in a thread that breaks into drops at once", "easy"),
    ("runs off in a thread, then slow drops", "bodied"),
    ("hangs in a thick thread, drops lie on top before they sink in", "heavy"),
    ("falls off in lumps", "too thick to spray as it is"),
)


@click.command("thin")
@click.argument("cup", required=False)
@click.argument("seconds", required=False)
@click.option("--at", "degc", metavar="DEGC", help="How warm the liquid was.")
@click.option("--in", "other", metavar="CUP", help="What another cup would take.")
@click.pass_context
def command(ctx: click.Context, cup: str | None, seconds: str | None, degc: str | None, other: str | None) -> None:
    """Body: without more, the flow off the stick in words. With CUP and SECONDS, what a viscosity cup says.

    \b
    sprayout thin "ISO 2431 4 mm" 45
    sprayout thin "ASTM D4212 #2" 25 --at 22 --in "ISO 2431 4 mm"
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import FLOW_CUPS, flow_cup, seconds_in, viscosity

    if cup is None:
        say("Dip a clean stick, lift it, and look:")
        rows(_WORDS)
        soft("Words travel between shops better than seconds of one cup. Cups known: " + ", ".join(FLOW_CUPS))
        return
    if seconds is None:
        raise SprayoutError(f"how many seconds did {cup!r} take?", 'Write it as: sprayout thin "ISO 2431 4 mm" 45.')
    found = viscosity(flow_cup(cup), number_in(seconds, "s"), number_in(degc, "c", "°c", "degc") if degc else None)
    between = f", {spanned(found.interval, 0)} by its uncertainty" if found.interval else ""
    say(f"{found.cup}, {rounded(found.seconds)} s: {rounded(found.mm2_per_s, 0)} mm2/s{between}")
    if other is not None:
        asked = flow_cup(other)
        told, interval = seconds_in(asked, found)
        spread = f", {spanned(interval, 0)} by the first cup's uncertainty" if interval else ""
        say(f"{asked.name}: about {rounded(told, 0)} s{spread}")
    for note in found.notes:
        soft(f"  {note}")
