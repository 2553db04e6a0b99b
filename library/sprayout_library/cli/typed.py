"""sprayout typed: a reading typed from an instrument's display."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, json_out, say, soft


@click.command("typed", context_settings={"ignore_unknown_options": True})
@click.argument("panel")
@click.argument("words", nargs=-1, required=True)
@click.option("--instrument", metavar="NAME", help="Which instrument it was read from.")
@click.option("--at", metavar="TIME", help="When it was measured, such as 2026-03-02T09:10:00Z; by default now.")
@click.option("--json", "form", flag_value="json", help="The outcome as JSON.")
@click.pass_obj
def command(
    desk: Desk, /, panel: str, words: tuple[str, ...], instrument: str | None, at: str | None, form: str | None
) -> None:
    """Record L*, a*, b* read from a display, of PANEL or one step or zone of it (KF-1/3).

    Light, observer, geometry and stage belong to it; nothing is assumed. Several geometries are parted by
    semicolons. What was typed is kept apart from what an instrument wrote.

    \b
    sprayout typed KF-1 41.2 -20.5 3.4 D65/10 45:0 bare
    sprayout typed KF-1 "45as15 110.2 -30 5.1; 45as45 52 -24 3.9; D65/10 cleared"
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_core.tables import typed
    from sprayout_library.record import Intake, now_text
    from sprayout_library.record.placing import Spots

    rows = typed(" ".join(words), panel)
    if len({row.conditions.stage for row in rows}) > 1:
        raise SprayoutError("parts of two stages", "Type one stage: bare and cleared are two readings.")
    with desk.store() as store:
        writer, spots = desk.writer(store), Spots(store)
        spot = spots.find(panel)
        intake = Intake(writer, spots, "")
        more: dict[str, object] = {"measured_at": at or now_text(writer.clock())}
        if instrument:
            more["instrument"] = {"name": instrument}
        reading = intake.reading(rows, spot, more=more)
        known = bool(intake.known([reading.id]))
        if not known:
            writer.save([reading], f"Reading of {panel}, typed")
        steps = [] if spot.place else list(getattr(store.get(spot.panel), "steps", None) or {})
    if form == "json":
        json_out({"taken": [] if known else [reading.id], "known": [reading.id] if known else []})
        return
    first = rows[0].conditions
    told = "; ".join(
        f"{row.conditions.geometry}: " + ", ".join(f"{name} {value:g}" for name, value in row.coordinates.items())
        for row in rows
    )
    say(f"{panel}, {first.stage}, {first.illuminant}/{first.observer}°, typed: {told}")
    say("It was known already." if known else f"{counted(1, 'reading')} taken in.")
    if steps:
        soft(f"{panel} is a step card; what was read on one step is typed with it: {panel}/{steps[-1]}")
    soft(f"Next: sprayout show {panel.partition('/')[0]}")
