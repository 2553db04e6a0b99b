"""sprayout compare: two versions, or two things, cup first, colour last."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft, swatches

if TYPE_CHECKING:
    from sprayout_core.documents import Document


@click.command("compare")
@click.argument("one")
@click.argument("other", required=False)
@click.option("--light", "lights", multiple=True, help="Another light, or several: A, FL11, shop LED, a table.csv ...")
@click.option("--difference", metavar="NAME", help="Another formula: cie76, cie94-textiles, cmc, a plugin's ...")
@click.option("--picture", type=click.Path(path_type=Path), help="Draw it into this SVG file too.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, one: str, other: str | None, lights: tuple[str, ...], difference: str | None,
    picture: Path | None, form: str | None,
) -> None:  # fmt: skip
    """Compare ONE with OTHER: the standard first, then the trial.

    \b
    sprayout compare "Kelp glass"                     its last two versions
    sprayout compare "Kelp glass@1" "Kelp glass@3"    two versions of it
    sprayout compare "Kelp glass@2026-03-02"          as it stood that day, with today's
    sprayout compare "Kelp glass@Tide shop"           as that shop last wrote it, with today's
    sprayout compare KF-1 KF-2                        two panels, in words, then numbers
    sprayout compare KF-2                             a panel with its recipe's standard
    sprayout compare KF-1/5 KF-2                      one step of a step card with a panel
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import kind_said
    from sprayout_library.record.lineage import tell_between
    from sprayout_library.record.sides import colour_between, sides_of

    with desk.store() as store:
        names = desk.names(store)
        before, after = sides_of(store, names, one, other)
        if before.document.kind != after.document.kind:
            raise SprayoutError(
                f"a {kind_said(before.document.kind)} is not compared with a {kind_said(after.document.kind)}",
                "Name two of one kind.",
            )
        lines = tell_between(before.document, after.document, names.label)
        colours = colour_between(store, before, after, lights, difference)
        if picture is not None:
            from sprayout_library.cli.drawn import draw_differences, put

            put(picture, draw_differences(colours))
        if form == "json":
            json_out(_data(before.name, after.name, lines, colours))
            return
        say(f"{before.name}  and  {after.name}", bold=True)
        _tell_lines(before.document, lines)
        heading("In the colour")
        for told in colours.lines:
            say(f"  {told}")
        if colours.table:
            say()
            swatches(colours.swatches)
            rows(colours.table)
        for caution in colours.cautions:
            say(f"  {caution}", fg="yellow")
        if not colours.table:
            soft("  Measure a panel of each: sprayout import FILE.csv")


def _tell_lines(document: Document, lines: Any) -> None:
    if document.kind == "panel":
        return
    if not lines:
        say("  nothing is different in the cup, in the work, in the evidence or in the words")
    last = None
    for line in lines:
        if line.layer is not last:
            heading(line.layer.value.capitalize())
            last = line.layer
        say(f"  {line.text}")


def _data(before: str, after: str, lines: Any, colours: Any) -> dict[str, Any]:
    return {
        "standard": before,
        "trial": after,
        "changes": [{"layer": line.layer.value, "text": line.text} for line in lines],
        "colour": {
            "words": list(colours.lines),
            "numbers": colours.numbers,
            "cautions": list(colours.cautions),
        },
    }
