"""sprayout draw: pictures of what was measured, as SVG."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk

if TYPE_CHECKING:
    from sprayout_library.store import Store


@click.command("draw")
@click.argument("what", type=click.Choice(["spectra", "travel", "plane"]))
@click.argument("panels", nargs=-1, required=True)
@click.option("--to", "path", type=click.Path(path_type=Path), required=True, help="The SVG file.")
@click.pass_obj
def command(desk: Desk, /, what: str, panels: tuple[str, ...], path: Path) -> None:
    """Draw PANELS: their spectra, their travel over the angles, or their place in the a* b* plane."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.drawn import put
    from sprayout_library.record.evidence import evidence_for

    with desk.store() as store:
        evidence = evidence_for(store, "reading")
        measured = []
        for text in panels:
            document = desk.document(store, text, "panel")
            readings = evidence.readings.get(document.id, [])
            if not readings:
                raise SprayoutError(f"{document.name} has no reading", "Take one in: sprayout import FILE.csv")
            measured.append((document.name, readings))
        put(path, {"spectra": _spectra, "travel": _travel, "plane": _plane}[what](store, measured))


def _colours(store: Store, measured: list[tuple[str, Any]]) -> list[tuple[str, Any]]:
    from sprayout_library.record.between import manifest_of
    from sprayout_library.record.measured import colours_of, default_view

    view = default_view(manifest_of(store))
    found = []
    for name, readings in measured:
        for one in colours_of(readings, view):
            place = " ".join(part for part in (one.spot.step and f"step {one.spot.step}", one.spot.zone) if part)
            found.append((f"{name} {place}".strip(), one))
    return found


def _screen(seen: Any) -> str:
    from sprayout_core.light import hexadecimal, srgb

    return str(hexadecimal(srgb(seen.lab, seen.view).rgb))


def _spectra(store: Store, measured: list[tuple[str, Any]]) -> str:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.light import colour
    from sprayout_core.pictures import Curve, spectra
    from sprayout_library.record.measured import spectra_of

    curves = []
    for name, readings in measured:
        for (spot, geometry), (nm, values) in spectra_of(readings).items():
            label = f"{name} {f'step {spot.step} ' if spot.step else ''}{geometry}"
            curves.append(Curve(label, nm.tolist(), values.tolist(), _screen(colour(values, nm))))
    if not curves:
        raise SprayoutError("none of them has a spectrum", "Take one in: sprayout import FILE.csv")
    return spectra(curves)


def _travel(store: Store, measured: list[tuple[str, Any]]) -> str:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.pictures import Curve, travel
    from sprayout_core.reading import angle

    curves = []
    for label, one in _colours(store, measured):
        places = []
        for geometry, seen in one.seen.items():
            try:
                places.append((angle(geometry), seen))
            except SprayoutError:
                continue
        if len(places) > 1:
            places.sort(key=lambda place: place[0])
            curves.append(
                Curve(
                    label,
                    [float(at.aspecular) for at, _ in places],
                    [float(seen.lab[0]) for _, seen in places],
                    _screen(places[0][1]),
                )
            )
    if not curves:
        raise SprayoutError("none of them was measured at several angles", "Take such readings in first.")
    return travel(curves)


def _plane(store: Store, measured: list[tuple[str, Any]]) -> str:
    from sprayout_core.pictures import Dot, plane

    dots = [
        Dot(f"{label} {geometry}", float(seen.lab[1]), float(seen.lab[2]), _screen(seen))
        for label, one in _colours(store, measured)
        for geometry, seen in one.seen.items()
    ]
    return plane(dots)
