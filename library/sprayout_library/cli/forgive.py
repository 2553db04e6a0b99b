"""sprayout forgive: how much one coat more or less, or a heavier hand, shows."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, rows, say


@click.command("forgive")
@click.argument("mix")
@click.option("--over", metavar="GROUND", required=True)
@click.option("--coats", default="2,3,4,5,6", show_default=True)
@click.option("--geometry", help="In which geometry; by default the one most panels were read in.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, mix: str, over: str, coats: str, geometry: str | None, form: str | None) -> None:
    """Tell how forgiving MIX is over a ground: dE00 for one coat more, one less, and 10 % film either way."""
    from sprayout_core.film import forgiveness, geometry_of
    from sprayout_library.film.knowing import known, trial_mix
    from sprayout_library.film.words import counts_from_words
    from sprayout_library.record.between import views_of

    with desk.store() as store:
        names = desk.names(store)
        knowledge = known(store)
        trial = trial_mix(store, names, knowledge, mix)
        entry = names.find(over, "material", "formula")
        ground = knowledge.ground(entry.id, entry.name)
        counts = counts_from_words(coats)
        chosen = geometry_of(geometry or knowledge.geometries()[0]).name
        (view,) = views_of(store, [])
        found = forgiveness(knowledge.learned, ground, trial.shares, counts, [chosen], view)
        if form == "json":
            json_out(
                [
                    {
                        "coats": one.coats,
                        "one_more": round(one.one_more, 3),
                        "one_less": None if one.one_less is None else round(one.one_less, 3),
                        "heavy": round(one.heavy, 3),
                        "light": round(one.light, 3),
                    }
                    for one in found
                ]
            )
            return
        say(f"{trial.name} over {ground.name}, {chosen}, dE00", bold=True)
        rows(
            [
                ("coats", "one more", "one less", "10 % heavier", "10 % lighter", ""),
                *(
                    (
                        f"{one.coats:g}",
                        f"{one.one_more:.2f}",
                        "" if one.one_less is None else f"{one.one_less:.2f}",
                        f"{one.heavy:.2f}",
                        f"{one.light:.2f}",
                        one.words,
                    )
                    for one in found
                ),
            ]
        )
