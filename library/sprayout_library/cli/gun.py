"""sprayout gun: the facts of a gun as they were measured, and the film they would lay."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.bench_words import number_in, percent_span, rounded, spanned
from sprayout_library.cli.told import rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.today.tools import Gun


@click.command("gun")
@click.argument("name", required=False)
@click.option("--tip", metavar="MM", help="Its tip.")
@click.option("--flow", metavar="ML/MIN", help="What it lets through: spray a minute into a measure, without air.")
@click.option("--fan", metavar="MM", help="How wide its fan is at your distance.")
@click.option("--speed", metavar="M/S", help="Tell the film: how fast you move it.")
@click.option("--overlap", metavar="PERCENT", help="Tell the film: how much each pass covers of the last.")
@click.option("--lands", metavar="PERCENT", help="Tell the film: the share that lands on the piece, as a range.")
def command(name: str | None, **given: str | None) -> None:
    """Record the gun NAME as measured; nothing is invented. With --speed, --overlap and --lands: the film it lays."""
    from sprayout_library.today.tools import Gun, keep_tool, tools

    guns = tools().guns
    if name is None:
        rows([(one.name, _facts(one)) for one in guns.values()])
        if not guns:
            say("No gun yet.")
            soft("Begin: sprayout gun small --tip 1.4 --flow 160 --fan 220")
        return
    held = guns.get(name, Gun(name))
    told = {
        "tip_mm": (given["tip"], ("mm",)),
        "flow_ml_per_min": (given["flow"], ("ml/min",)),
        "fan_mm": (given["fan"], ("mm",)),
    }
    known = {one.name: getattr(held, one.name) for one in fields(Gun)}
    known |= {member: number_in(text, *units) for member, (text, units) in told.items() if text}
    gun = Gun(**known)
    asked = {member: given[member] for member in ("speed", "overlap", "lands")}
    lines = _film(gun, asked) if any(asked.values()) else []
    if gun != held or name not in guns:
        keep_tool("guns", gun)
    say(f"{name}: {_facts(gun)}.")
    for line in lines:
        say(f"  {line}")


def _facts(gun: Gun) -> str:
    told = [f"{rounded(gun.tip_mm)} mm tip"] if gun.tip_mm else []
    told += [f"{rounded(gun.flow_ml_per_min)} ml/min"] if gun.flow_ml_per_min else []
    told += [f"fan {rounded(gun.fan_mm)} mm"] if gun.fan_mm else []
    return ", ".join(told) or "nothing recorded of it"


def _film(gun: Gun, asked: dict[str, str | None]) -> list[str]:
    """Return the wet film of one pass pattern: what leaves the gun, what lands, how fast and how overlapped."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import gun_wet_film_um, passes_over_a_point

    lacking = [word for word, value in (("--flow", gun.flow_ml_per_min), ("--fan", gun.fan_mm)) if not value]
    lacking += [f"--{word}" for word, text in asked.items() if not text]
    if lacking or gun.flow_ml_per_min is None or gun.fan_mm is None:
        raise SprayoutError("the film cannot be told", f"It needs {', '.join(lacking)} too.")
    overlap = percent_span(asked["overlap"] or "", "the overlap")
    if overlap.low != overlap.high or overlap.high >= 1:
        raise SprayoutError(f"{asked['overlap']!r} is no one overlap below 100 %", "Give one, such as 50.")
    speed, lands = number_in(asked["speed"] or "", "m/s"), percent_span(asked["lands"] or "", "the share that lands")
    film = gun_wet_film_um(gun.flow_ml_per_min, lands, speed, gun.fan_mm / 1000, overlap.low)
    passes = passes_over_a_point(overlap.low)
    return [
        f"wet film {spanned(film, 1)} um a coat, {rounded(passes, 1)} passes over every point",
        "computed from what was said; a wet film gauge or panels tell what it really is",
    ]
