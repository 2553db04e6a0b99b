"""sprayout eyes: do people agree by eye, and does the eye agree with the readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.record import Names
    from sprayout_library.record.seen import Agreed


@click.command("eyes")
@click.argument("quality")
@click.option("--light", metavar="WORDS", help="Only what was judged in this light.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, quality: str, light: str | None, form: str | None) -> None:
    """Tell how far people agree on QUALITY (lighter, warmer ...), and the eye with the readings; where they part."""
    from sprayout_core.documents import Judgement
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.judge import qualities
    from sprayout_library.record import evidence_for
    from sprayout_library.record.measured import default_view
    from sprayout_library.record.seen import agreed

    if quality not in qualities():
        raise SprayoutError(f"{quality!r} is nothing to order by", f"Use one of: {', '.join(qualities())}.")
    with desk.store() as store:
        names = desk.names(store)
        judgements = [one for one in store.documents("judgement") if isinstance(one, Judgement)]
        view = default_view(desk.manifest(store))
        found = agreed(evidence_for(store), judgements, view, quality)
        if light:
            found = [one for one in found if one.people.light.casefold() == light.casefold()]
        if form == "json":
            json_out([_data(one, names) for one in found])
            return
        if not found:
            say(f"Nobody has ordered pieces by {quality}{f' in {light}' if light else ''} yet.")
            soft(f"sprayout judge order {quality} PIECE PIECE PIECE --light D65")
        for one in found:
            _tell(one, names, str(view))


def _piece(spot: tuple[str, str, str], names: Names) -> str:
    place = spot[2] or spot[1].replace("_", " ")
    return names.label(spot[0]) + (f"/{place}" if place else "")


def _tell(one: Agreed, names: Names, view: str) -> None:
    from sprayout_library.record.seen import VALUE_NAMES

    people = one.people
    where = f", {people.where}" if people.where else ""
    heading(f"{people.quality.capitalize()} first, in {people.light}{where}")
    for who, order in sorted(people.orders.items()):
        rows([(who, ", ".join(_piece(spot, names) for spot in sorted(order, key=lambda spot: order[spot])))])
    if one.concordance:
        found = one.concordance
        about = "" if found.exact == "yes" else "about "
        say(
            f"  People: W = {found.w:.2f} "
            f"({found.people} people, {found.pieces} pieces; by chance {about}{found.chance:.3f})"
        )
        for who, other, apart in one.parting[:5]:
            first, second = _piece(apart.first, names), _piece(apart.second, names)
            say(f"    they part: {who} has {first} before {second}, {other} the other way round")
    if one.correlation:
        seen = one.correlation
        value = VALUE_NAMES[people.quality]
        how = f"{value} at {one.geometry}, {', '.join(one.stages)}, {view}"
        about = "" if seen.exact == "yes" else "about "
        say(
            f"  Eye and readings: rho = {seen.rho:+.2f} "
            f"({seen.pieces} pieces, {how}; by chance {about}{seen.chance:.3f})"
        )
        for pair in one.against_readings[:5]:
            first, second = _piece(pair.first, names), _piece(pair.second, names)
            numbers = f"{one.values[pair.first]:.2f} and {one.values[pair.second]:.2f}"
            say(f"    they part: by eye {first} before {second}, measured the other way round ({value} {numbers})")
    for reason in one.because:
        soft(f"  {reason}")


def _data(one: Agreed, names: Names) -> dict[str, Any]:
    people, found, seen = one.people, one.concordance, one.correlation
    data: dict[str, Any] = {
        "quality": people.quality,
        "light": people.light,
        "where": people.where,
        "orders": {
            who: {_piece(spot, names): rank for spot, rank in order.items()} for who, order in people.orders.items()
        },
        "missing": one.because,
        "people_part": [
            {"first": _piece(apart.first, names), "second": _piece(apart.second, names), "by": [who, other]}
            for who, other, apart in one.parting
        ],
        "readings_part": [
            {"first": _piece(apart.first, names), "second": _piece(apart.second, names)}
            for apart in one.against_readings
        ],
    }
    if found:
        data["kendall_w"] = {
            "w": found.w,
            "people": found.people,
            "pieces": found.pieces,
            "chance": found.chance,
            "exact": found.exact,
        }
    if seen:
        data["spearman"] = {
            "rho": seen.rho, "pieces": seen.pieces, "chance": seen.chance, "exact": seen.exact,
            "geometry": one.geometry, "stage": one.stages[0], "grade": one.stages[1],
        }  # fmt: skip
    return data
