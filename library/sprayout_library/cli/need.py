"""sprayout need: how much of each mix a job or a day takes."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.bench_words import (
    amount_in,
    coats_in,
    named,
    number_in,
    percent_span,
    pour_rows,
    rounded,
    span_in,
    spanned,
)
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Formula, Recipe
    from sprayout_core.mix import Amount
    from sprayout_library.store import Store
    from sprayout_library.today.needs import JobFacts


@click.command("need")
@click.argument("wanted", nargs=-1, required=True)
@click.option("--area", multiple=True, metavar="M2", help='A job: a piece\'s area in m2, such as 0.3 or "tank=0.4".')
@click.option("--lands", metavar="PERCENT", help="A job: the share that lands on the piece, as a range such as 50-65.")
@click.option("--film", metavar="UM", help="A job: dry film of a coat, such as 8-12, where the recipe does not say.")
@click.option("--solids", metavar="PERCENT", help="A job: volume solids of the mix, where its materials do not say.")
@click.option("--coats", metavar="N", help="A job: how many coats, instead of the recipe's.")
@click.option("--covered-in", metavar="N", help='A job: how many coats to count "until covered" as.')
@click.option("--loss", metavar="ML", help="A job: what stays in cup, hose and gun.")
@click.option("--through", metavar="VARIANT", help="A job: made ready for this gun.")
@click.option("--in", "tool", metavar="TOOL", help="With pour lists for this cup or scale.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, wanted: tuple[str, ...], tool: str | None, form: str | None, **job: Any) -> None:
    """How much of each mix is needed, mixes inside others first, shared mixes summed.

    \b
    sprayout need "Kelp glass bodied=120 ml" "Moss deep=80 ml"      today's need
    sprayout need "Kelp frame" --area 0.35 --lands 50-65 --film 8-12    a job, as a range

    Amounts are of the mix before it is reduced.
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.today.tools import tools

    with desk.store() as store:
        using = tools().pours_with(tool) if tool else None
        if job["area"]:
            if len(wanted) != 1:
                raise SprayoutError("a job is told one mix or recipe at a time", "Name one, with --area.")
            asked = _job(desk, store, wanted[0], job, form)
        else:
            if given := next((name for name, value in job.items() if value), None):
                raise SprayoutError(f"--{given.replace('_', '-')} belongs to a job", "Give its --area too.")
            asked = [_pair(desk, store, pair) for pair in wanted]
        if asked is not None:
            _tell(desk, store, asked, using, form)


def _pair(desk: Desk, store: Store, pair: str) -> tuple[Any, Amount, str]:
    name, text = named(pair, "how much of what")
    amount = amount_in(text)
    return desk.document(store, name, "formula"), amount, "asked for"


def _facts(job: dict[str, Any]) -> JobFacts:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.today.needs import JobFacts

    areas: dict[str, Fraction] = {}
    for place, words in enumerate(job["area"], 1):
        name, area = named(words, "which piece") if "=" in words else (f"piece {place}", words)
        if name in areas:
            raise SprayoutError(f"{name!r} stands twice", "Name each piece once.")
        areas[name] = number_in(area, "m2", "m²")
    if not job["lands"]:
        raise SprayoutError(
            "what share lands on the piece?", "Give --lands as a range, such as 50-65; small parts take less."
        )
    return JobFacts(
        areas,
        percent_span(job["lands"], "the share that lands"),
        span_in(job["film"], "um", "µm") if job["film"] else None,
        percent_span(job["solids"], "the solids").low if job["solids"] else None,
        coats_in(job["coats"]) if job["coats"] else None,
        coats_in(job["covered_in"]) if job["covered_in"] else None,
        number_in(job["loss"], "ml") if job["loss"] else Fraction(0),
    )


def _job(
    desk: Desk, store: Store, name: str, job: dict[str, Any], form: str | None
) -> list[tuple[Any, Amount, str]] | None:
    """Tell what a job takes, and return what to make of each mix: the upper end, so that it is enough."""
    from sprayout_core.mix import Amount, Measure
    from sprayout_library.today.needs import job_needs

    document: Formula | Recipe = desk.document(store, name, "recipe", "formula")  # type: ignore[assignment]
    found = job_needs(document, store.find, _facts(job), job["through"])
    if form == "json":
        json_out([{"formula": one.formula, "coats": one.said, "notes": list(one.notes),
                   **{part: [str(span.low), str(span.high)] for part, span in
                      (("spray_ready_ml", one.need.spray_ready_ml), ("mix_ml", one.need.mix_ml),
                       ("reducer_ml", one.need.reducer_ml))}} for one in found])  # fmt: skip
        return None
    for one in found:
        heading(one.said)
        table = [
            ("ready to spray", f"{spanned(one.need.spray_ready_ml)} ml"),
            ("of it the mix", f"{spanned(one.need.mix_ml)} ml"),
        ]
        if one.need.reducer_ml.high:
            table.append(("reducer", f"{spanned(one.need.reducer_ml, 1)} ml"))
        if len(one.need.per_piece_ml) > 1:
            table += [(piece, f"{spanned(span)} ml") for piece, span in one.need.per_piece_ml.items()]
        rows(table)
        for note in one.notes:
            soft(f"  {note}")
    say()
    soft("Ranges run from the best to the worst of what you said; the lists below make the upper end.")
    return [(store.get(one.formula), Amount(one.need.mix_ml.high, Measure.ML), one.said) for one in found]


def _tell(desk: Desk, store: Store, asked: list[Any], using: Any, form: str | None) -> None:
    from sprayout_library.today.jobs import lists_for
    from sprayout_library.today.needs import day

    names = desk.names(store)
    if form == "json":
        needs, unit = day(asked, store.find)
        json_out([{"formula": need.mix, "unit": unit, "amount": str(need.amount.high),
                   "components": {key: str(span.high) for key, span in need.components.items()},
                   "taken_by": {names.label(key) if key in names.entries else key: str(span.high)
                                for key, span in need.taken_by.items()}} for need in needs])  # fmt: skip
        return
    unit = day(asked, store.find)[1]
    for need, pouring in lists_for(asked, store.find, using):
        heading(f"{names.label(need.mix)}: {rounded(need.amount.high)} {unit}")
        rows(pour_rows(pouring))
        if pouring.how:
            say(f"  {pouring.how}")
        for warning in pouring.warnings:
            say(f"  {warning}", fg="yellow")
        if len(need.taken_by) > 1 or any(key in names.entries for key in need.taken_by):
            told = ", ".join(f"{rounded(span.high)} {unit} {_for(key, names)}" for key, span in need.taken_by.items())
            soft(f"  {told}")


def _for(key: str, names: Any) -> str:
    return f"for {names.label(key)}" if key in names.entries else key
