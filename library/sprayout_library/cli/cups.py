"""sprayout cups: the shop's own cups, by their printed columns, their marks, or water weighed at their marks."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.bench_words import named, number_in, rounded
from sprayout_library.cli.told import rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.mix import PrintedColumn


@click.group("cups", invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """The shop's own cups. Without more words: those there are.

    \b
    sprayout cups columns 600 "5:2 1=100 2=200 3=300"   ratio columns, each mark with the ml it makes in all
    sprayout cups marks beaker --step 10ml --holds 600ml
    sprayout cups weigh jar 20mm=58.1g 40mm=121.4g      water weighed at the marks; sides are never taken as straight
    sprayout cups taper 4:1 --bottom 70 --top 90        what equal heights would really pour
    """
    if ctx.invoked_subcommand is None:
        _list()


def _list() -> None:
    from sprayout_core.mix import CalibratedCup, MarkedCup, PrintedCup
    from sprayout_library.today.tools import tools

    table = []
    for name, cup in tools().cups.items():
        if isinstance(cup, PrintedCup):
            table += [(name, f"{one.name} column", ", ".join(_mark(m, ml) for m, ml in one.marks.items()))
                      for one in cup.columns]  # fmt: skip
        elif isinstance(cup, MarkedCup):
            table.append((name, "marks", f"every {rounded(cup.step_ml)} ml up to {rounded(cup.capacity_ml)} ml"))
        elif isinstance(cup, CalibratedCup):
            pairs = list(zip(cup.heights_mm, cup.volumes_ml, strict=True))[1:]
            table.append((name, "weighed", ", ".join(f"{rounded(h)} mm {rounded(ml)} ml" for h, ml in pairs)))
    rows(table)
    if not table:
        say("No cup yet.")
        soft('Begin: sprayout cups columns 600 "5:2 1=100 2=200 3=300"')


def _mark(mark: str, ml: Fraction) -> str:
    return f"{mark} makes {rounded(ml)} ml"


@command.command("columns")
@click.argument("name")
@click.argument("columns", nargs=-1, required=True)
def columns_(name: str, columns: tuple[str, ...]) -> None:
    """Record a cup NAME with printed ratio COLUMNS: "5:2 1=100 2=200", each mark with the ml it makes in all."""
    from sprayout_core.mix import PrintedCup
    from sprayout_library.today.tools import keep_tool

    keep_tool("cups", PrintedCup(name, tuple(_column(words) for words in columns)))
    say(f"{name}: {len(columns)} column{'' if len(columns) == 1 else 's'}, recorded.")


def _column(words: str) -> PrintedColumn:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import PrintedColumn

    ratio, *marks = words.split() or [""]
    parts = ratio.split(":")
    if len(parts) < 2 or not all(part.isdecimal() and part.isascii() and 0 < int(part) < 1000 for part in parts):
        raise SprayoutError(f"{ratio!r} is no printed ratio", "Write it as on the cup, such as 5:2 or 4:1:1.")
    if not marks:
        raise SprayoutError(f"the {ratio} column has no marks", "Give each with the ml it makes in all: 1=100 2=200.")
    made: dict[str, Fraction] = {}
    for pair in marks:
        mark, ml = named(pair, "which mark makes how many ml")
        made[mark] = number_in(ml, "ml")
    if sorted(made.values()) != list(made.values()) or len(set(made.values())) != len(made):
        raise SprayoutError(f"the marks of {ratio} do not rise", "Give them from the bottom up, in ml made in all.")
    return PrintedColumn(tuple(int(part) for part in parts), made)


@command.command("marks")
@click.argument("name")
@click.option("--step", required=True, metavar="ML", help="From mark to mark.")
@click.option("--holds", required=True, metavar="ML", help="Up to the highest mark.")
def marks(name: str, step: str, holds: str) -> None:
    """Record a cup NAME marked in ml."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import MarkedCup
    from sprayout_library.today.tools import keep_tool

    cup = MarkedCup(name, number_in(step, "ml"), number_in(holds, "ml"))
    if cup.step_ml > cup.capacity_ml:
        raise SprayoutError("one step is more than the cup holds", "Give the step from mark to mark in ml.")
    keep_tool("cups", cup)
    say(f"{name}: marks every {rounded(cup.step_ml)} ml up to {rounded(cup.capacity_ml)} ml, recorded.")


@command.command("weigh")
@click.argument("name")
@click.argument("weighed", nargs=-1, required=True)
@click.option("--water", default="20", show_default=True, metavar="DEGC", help="How warm the water was.")
def weigh(name: str, weighed: tuple[str, ...], water: str) -> None:
    """Calibrate a cup NAME: HEIGHT=GRAMS of water up to each mark, the empty cup tared away. Any taper is taken in."""
    from sprayout_core.mix import calibrated
    from sprayout_library.today.tools import keep_tool

    pairs = []
    for pair in weighed:
        height, grams = named(pair, "how much water at which height")
        pairs.append((number_in(height, "mm"), number_in(grams, "g")))
    cup = calibrated(name, pairs, number_in(water, "c", "°c", "degc"))
    keep_tool("cups", cup)
    say(f"{name}: {len(pairs)} marks up to {rounded(cup.volumes_ml[-1])} ml; nothing is known between them.")


@command.command("taper")
@click.argument("ratio")
@click.option("--bottom", required=True, metavar="MM", help="Inner width at the bottom.")
@click.option("--top", required=True, metavar="MM", help="Inner width at the height you fill to.")
@click.option("--height", default="100", show_default=True, metavar="MM")
def taper(ratio: str, bottom: str, top: str, height: str) -> None:
    """Tell what RATIO, such as 4:1, becomes where its parts are poured by equal heights in a cup that widens."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Taper

    parts = {f"part {place}": number_in(one) for place, one in enumerate(ratio.split(":"), 1)}
    if len(parts) < 2:
        raise SprayoutError(f"{ratio!r} has one part", "Write it as 4:1.")
    cup = Taper(number_in(bottom, "mm"), number_in(top, "mm"), number_in(height, "mm"))
    poured = list(cup.equal_heights_pour(parts).values())
    say(f"Poured by equal heights, {ratio} becomes {' : '.join(rounded(one / poured[-1], 2) for one in poured)}.")
    running = Fraction(0)
    whole = sum(parts.values())
    table = []
    for name, part in parts.items():
        running += part
        table.append((name, f"to {rounded(cup.height_for(running / whole))} mm"))
    say("For the ratio that is meant, to the nearest half mm:")
    rows(table)
    soft("Weighing water at the marks is surer: sprayout cups weigh NAME 20mm=58.1g ...")


@command.command("remove")
@click.argument("name")
def remove(name: str) -> None:
    """Forget the cup NAME."""
    from sprayout_library.today.tools import forget_tool

    forget_tool("cups", name)
    say(f"{name}: forgotten. Cups already poured stand as they are.")
