"""sprayout grid: what a mix would look like over several grounds, coat by coat, before anything is sprayed."""

from __future__ import annotations

from typing import Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft


@click.command("grid")
@click.argument("mix")
@click.option("--over", multiple=True, metavar="GROUND", help="A ground; by default every one that has a reading.")
@click.option("--coats", default="1,2,3,4,5,6", show_default=True, help="Counts of coats.")
@click.option("--geometry", help="In which geometry; by default the one most panels were read in.")
@click.option("--light", help="Another light than the library's.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk,
    /,
    mix: str,
    over: tuple[str, ...],
    coats: str,
    geometry: str | None,
    light: str | None,
    form: str | None,
) -> None:
    """Predict MIX, a name or a line such as "3 weak teal : 1 strong teal", over grounds and coats.

    Each cell tells its colour and, after +-, the dE00 that holds a sprayed panel 95 times in 100. A cell that
    rests on nothing is hatched, with the panel to spray.
    """
    from sprayout_core.film import geometry_of, predicted_grid
    from sprayout_library.film.knowing import known, trial_mix
    from sprayout_library.film.words import counts_from_words, swatch_of
    from sprayout_library.record.between import views_of

    with desk.store() as store:
        names = desk.names(store)
        knowledge = known(store)
        trial = trial_mix(store, names, knowledge, mix)
        chosen = geometry_of(geometry or knowledge.geometries()[0]).name
        (view,) = views_of(store, [light] if light else [])
        wanted = [names.find(text, "material", "formula") for text in over] or [
            names.entries[key] for key in knowledge.gathered.grounds if key in names.entries
        ]
        grounds = [knowledge.ground(one.id, one.name) for one in wanted]
        counts = counts_from_words(coats)
        cells = predicted_grid(knowledge.learned, trial.shares, grounds, counts, [chosen], view)
        if form == "json":
            json_out(_data(cells, str(view)))
            return
        say(f"{trial.name}, predicted at {chosen}, {view}", bold=True)
        for row in cells:
            heading(row[0].ground)
            table = []
            for cell in row:
                if cell.hatched:
                    table.append((f"{cell.coats:g} coats", "////", cell.hatched))
                    continue
                (one,) = cell.predictions
                lab = "  ".join(f"{name} {value:.1f}" for name, value in zip(("L*", "a*", "b*"), one.lab, strict=True))
                table.append((f"{cell.coats:g} coats", swatch_of(one.lab, view), f"{lab}  +- {one.interval:.1f}"))
            rows(table)
        _tell_notes(cells, trial.notes, knowledge)


def _data(cells: Any, view: str) -> list[dict[str, Any]]:
    return [
        {
            "ground": cell.ground,
            "coats": cell.coats,
            "hatched": cell.hatched,
            "view": view,
            "predictions": [
                {
                    "geometry": one.geometry,
                    "lab": [round(float(value), 3) for value in one.lab],
                    "interval": round(one.interval, 3),
                    "rests_on": dict(one.rests_on),
                    "notes": list(one.notes),
                }
                for one in cell.predictions
            ],
        }
        for row in cells
        for cell in row
    ]


def _tell_notes(cells: Any, notes: tuple[str, ...], knowledge: Any) -> None:
    told = dict.fromkeys(notes)
    for row in cells:
        for cell in row:
            for one in cell.predictions:
                told.update(dict.fromkeys(one.notes))
    accuracy = knowledge.learned.accuracy
    say()
    for note in told:
        soft(f"  {note}")
    if accuracy is not None:
        told_by = f"{accuracy.panels} panels left out in turn were missed by {accuracy.mean:.1f} on average"
        soft(f"  how far to trust it: {told_by}")
    for suspect in knowledge.learned.suspects:
        soft(f"  {suspect.panel} fits badly: {suspect.reason}")
