"""sprayout lights: how a panel looks in other lights."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, say, soft


@click.command("lights")
@click.argument("panel")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, panel: str, form: str | None) -> None:
    """Tell how PANEL travels from daylight to sun, shade, tungsten, tube and shop LED.

    It needs a spectrum: coordinates of one light say nothing about another.
    """
    from sprayout_core.difference import through_lights
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.between import manifest_of, place_words
    from sprayout_library.record.evidence import evidence_for
    from sprayout_library.record.measured import default_view, spectra_of

    with desk.store() as store:
        document = desk.document(store, panel, "panel")
        home = default_view(manifest_of(store))
        found = spectra_of(evidence_for(store, "reading").readings.get(document.id, []))
        if not found:
            raise SprayoutError(f"{document.name} has no spectrum", "Take one in: sprayout import FILE.csv")
        data = []
        for (spot, geometry), (nm, values) in found.items():
            journey = through_lights(values, nm, home)
            data.append(
                {
                    "spot": spot.said(),
                    "geometry": geometry,
                    "home": str(home),
                    "lights": [
                        {
                            "light": one.name,
                            "view": str(one.view),
                            "words": str(one.direction),
                            "cie76": round(one.difference, 3),
                        }
                        for one in journey.lights
                    ],
                }
            )
            if form != "json":
                heading(f"{document.name}, {spot.said()}, {place_words(geometry)}: against {home}")
                for one in journey.lights:
                    say(f"  {one}")
        if form == "json":
            json_out(data)
        else:
            soft("  Told after adaptation: as eyes that are used to each light would see it.")
