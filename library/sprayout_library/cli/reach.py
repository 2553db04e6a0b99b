"""sprayout reach: which mix, over which ground, in how many coats reaches a colour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.film.knowing import Known
    from sprayout_library.record import Names
    from sprayout_library.store import Store


@click.command("reach")
@click.argument("target")
@click.option("--with", "dyes", multiple=True, metavar="DYE", help="Only with these; by default all that were learned.")
@click.option("--over", multiple=True, metavar="GROUND", help="Only over these; by default all that have a reading.")
@click.option("--coats", default="1 to 8", show_default=True)
@click.option("--parts", default=12, show_default=True, type=click.IntRange(2, 24), help="Most parts in all.")
@click.option("--geometry", help="In which geometry; by default the one most panels were read in.")
@click.option("--lighter", type=float, default=0.0, help="Move the target in L*.")
@click.option("--redder", type=float, default=0.0, help="Move the target in a*.")
@click.option("--yellower", type=float, default=0.0, help="Move the target in b*.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk, /, target: str, dyes: tuple[str, ...], over: tuple[str, ...], form: str | None, **how: Any
) -> None:
    """Find ways to TARGET: a panel (KF-4, or KF-2/5 for one step of it) or a typed "L* a* b*".

    Every whole-number ratio is tried; what is shown differs really. A proposal is no promise: spray it and look.
    """
    from sprayout_core.film import Means, search
    from sprayout_library.film.knowing import known
    from sprayout_library.film.words import counts_from_words

    with desk.store() as store:
        names = desk.names(store)
        knowledge = known(store)
        geometry = how["geometry"] or knowledge.geometries()[0]
        wanted = _target(store, names, target, geometry, how)
        means = Means(
            dyes=_dyes(store, knowledge, names, dyes),
            grounds=_grounds(knowledge, names, over, geometry),
            coats=tuple(int(count) for count in counts_from_words(how["coats"])),
            parts=how["parts"],
        )
        found = search(knowledge.learned, wanted, means)
        if form == "json":
            json_out([_data(one) for one in found])
            return
        for place, one in enumerate(found, 1):
            parts = " : ".join(f"{count} {name}" for name, count in one.parts.items() if count)
            heading(f"{place}. {parts}, {one.coats} coats over {one.ground.name}")
            rows(
                [
                    ("predicted", f"{one.difference:.2f} from the target at {one.angle}"),
                    ("to be expected", f"{one.expected:.2f}, all uncertainties in"),
                ]
            )
            for reason in one.reasons[1:]:  # the first says again what the rows above do
                say(f"  {reason}")
        soft(f"  Target: {wanted.grade}, {wanted.view}. Spray the first one on a small piece before the job.")


def _dyes(store: Store, knowledge: Known, names: Names, dyes: tuple[str, ...]) -> tuple[str, ...]:
    """Return the dyes to search with, by what they are called in what was learned."""
    if not dyes:
        return tuple(knowledge.learned.dyes)
    chosen = []
    for text in dyes:
        document = store.get(names.find(text, "material").id)
        assert document is not None
        chosen.append(knowledge.gathered.name(document))
    return tuple(chosen)


def _data(one: Any) -> dict[str, Any]:
    return {
        "parts": {name: count for name, count in one.parts.items() if count},
        "ground": one.ground.name,
        "coats": one.coats,
        "difference": round(one.difference, 3),
        "expected": round(one.expected, 3),
        "worst": one.angle,
        "reasons": list(one.reasons),
    }


def _grounds(knowledge: Known, names: Names, over: tuple[str, ...], geometry: str) -> tuple[Any, ...]:
    if over:
        entries = [names.find(text, "material", "formula") for text in over]
        return tuple(knowledge.ground(one.id, one.name) for one in entries)
    found = knowledge.gathered.grounds
    return tuple(ground for key, ground in found.items() if key in names.entries and geometry in ground.readings)


def _target(store: Store, names: Names, text: str, geometry: str, how: dict[str, Any]) -> Any:
    from sprayout_core.film import target_from_lab, target_from_readings, wished
    from sprayout_library.film.reading_of import spectra_named
    from sprayout_library.film.words import lab_from_words
    from sprayout_library.record.between import views_of

    (view,) = views_of(store, [])
    lab = lab_from_words(text)
    if lab is not None:
        found = target_from_lab({geometry: lab}, view)
    else:
        nm, readings = spectra_named(store, names, text)
        found = target_from_readings({geometry: readings[geometry]}, nm, view)
    return wished(found, lighter=how["lighter"], redder=how["redder"], yellower=how["yellower"])
