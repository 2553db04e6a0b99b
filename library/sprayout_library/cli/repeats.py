"""sprayout repeats: how far repeated readings of a panel scatter."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, rows, say, soft


@click.command("repeats")
@click.argument("panel")
@click.option("--light", help="Another light than the library's.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, panel: str, light: str | None, form: str | None) -> None:
    """Tell the mean of PANEL's repeats, their mean and largest difference from it, and their standard deviations."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.reading import spread, warm_panel
    from sprayout_library.record.between import views_of
    from sprayout_library.record.evidence import evidence_for
    from sprayout_library.record.measured import repeats_of

    with desk.store() as store:
        document = desk.document(store, panel, "panel")
        readings = evidence_for(store, "reading").readings.get(document.id, [])
        (view,) = views_of(store, [light] if light else [])
        found = {key: spread(labs) for key, labs in repeats_of(readings, view).items() if len(labs) > 1}
        if not found:
            raise SprayoutError(
                f"{document.name} was not measured twice alike", "Take repeats in: lift and place anew."
            )
        data = [
            {
                "spot": spot.said(),
                "geometry": geometry,
                "view": str(view),
                "count": one.count,
                "mean": [round(float(value), 4) for value in one.mean],
                "mean_difference_from_mean": round(float(one.mcdm), 4),
                "largest": round(float(one.largest), 4),
                "deviation": [round(float(one.covariance[place, place]) ** 0.5, 4) for place in range(3)],
            }
            for (spot, geometry), one in found.items()
        ]
        if form == "json":
            json_out(data)
            return
        for one in data:
            say(f"{document.name}, {one['spot']}, {one['geometry']}, {one['view']}: {one['count']} readings", bold=True)
            rows(
                [
                    ("mean L* a* b*", "  ".join(f"{value:.2f}" for value in one["mean"])),  # type: ignore[attr-defined]
                    ("mean difference from the mean", f"{one['mean_difference_from_mean']:.3f}"),
                    ("largest", f"{one['largest']:.3f}"),
                    ("standard deviations", "  ".join(f"{value:.3f}" for value in one["deviation"])),  # type: ignore[attr-defined]
                ]
            )
        for reading in readings:
            if reading.temperature_degc is not None and (caution := warm_panel(float(reading.temperature_degc))):
                say(f"  {caution}", fg="yellow")
        soft("  Differences are CIE 1976. Whether two panels really differ: sprayout compare ONE OTHER")
