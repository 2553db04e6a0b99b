"""sprayout find: by words, by what is in it, by its evidence, by eye, by colour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.index import Index, Question, Shown
    from sprayout_library.store import Store

_YEAR = 365
_MOST = 1000
_SAID = {"formula": "mix", "batch": "cup"}


@click.command("find")
@click.argument("words", nargs=-1)
@click.option("--kind", metavar="KIND", multiple=True, help="Only mixes, recipes, panels ...")
@click.option("--uses", metavar="NAME", multiple=True, help="What is in it: a material, or a mix inside others.")
@click.option("--between", metavar="LOW HIGH", nargs=2, multiple=True, help="Percent of the mix, for each --uses.")
@click.option("--same-mix-as", metavar="MIX", help="The same composition: other names, other grounds.")
@click.option("--never-sprayed", "never", flag_value="never-sprayed", help="Never sprayed.")
@click.option("--changed", flag_value="changed", help="Changed since it was sprayed.")
@click.option("--no-reading", flag_value="no-reading", help="Panels without a reading.")
@click.option("--two-answers", flag_value="two-answers", help="Shops disagree on it.")
@click.option("--old-standard", flag_value="old", help="Recipes whose standard was last measured over a year ago.")
@click.option("--judged", metavar="QUALITY", help="Judged by eye: lighter, warmer, cleaner ...")
@click.option(
    "--near", metavar="COLOUR", help='"52 -20 -6", a panel, a step of it (KF-2/5), the end of a reading\'s id.'
)
@click.option("--light", multiple=True, help="In this light; the largest difference over all named counts.")
@click.option("--at", multiple=True, metavar="GEOMETRY", help="At this geometry, such as 45:0 or 45as15.")
@click.option("--stage", help="Only bare, cleared or polished panels.")
@click.option("--within", type=click.FloatRange(min=0), metavar="DIFFERENCE", help="No farther than this.")
@click.option("--limit", type=click.IntRange(1, _MOST), default=10, show_default=True, help="How many to show.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, form: str | None, **asked: Any) -> None:
    """Find what holds all WORDS and meets every condition, and say why it was found.

    Words are looked for in titles, labels, aliases, notes, tags and the materials within; a beginning is enough.
    """
    from sprayout_library.index import asking, find

    with desk.store() as store:
        question: Question | None = None

        def answer(index: Index) -> Shown:
            nonlocal question
            question = _question(index, store, asked)
            return find(index, question)

        shown = asking(store, answer)
    assert question is not None
    if form == "json":
        target = question.near.target if question.near else None
        json_out({"near": target.said if target else None, "found": [one.data() for one in shown.found],
                  "more": shown.more})  # fmt: skip
        return
    _tell(question, shown)


def _tell(question: Question, shown: Shown) -> None:
    if question.near:
        say(f"Near {question.near.target.said}:", bold=True)
    if not shown.found:
        say("Nothing found.")
        soft("Fewer words or a wider range find more: sprayout find --help")
    told = []
    for one in shown.found:
        far = "" if one.difference is None else f"{one.difference:.2f}"
        why = "; ".join(part for part in (one.spot, *one.because, "withdrawn" if one.what.withdrawn else "") if part)
        told.append((*((far,) if question.near else ()), _SAID.get(one.what.kind, one.what.kind), one.what.name, why))
    rows(told)
    if question.near and shown.found:
        soft("  CIEDE2000, the largest over the lights and geometries asked for.")
    if shown.more:
        soft("  There is more: --limit 50, or narrow it down.")


def _question(index: Index, store: Store, asked: dict[str, Any]) -> Question:
    from datetime import UTC, datetime, timedelta

    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.list_ import kind_of
    from sprayout_library.index import Near, Question

    near = None
    if asked["near"]:
        from sprayout_library.index import read_target  # arrays are loaded for colours only

        target = read_target(index, asked["near"], asked["light"], asked["at"], store.content)
        near = Near(target, asked["stage"] or "", asked["within"])
    elif alone := [name for name in ("light", "at", "stage", "within") if asked[name]]:
        raise SprayoutError(f"--{alone[0]} goes with --near", "Say near which colour.")
    before = (datetime.now(UTC) - timedelta(days=_YEAR)).strftime("%Y-%m-%dT%H:%M:%SZ")
    same = asked["same_mix_as"]
    return Question(
        words=" ".join(asked["words"]),
        kinds=tuple(kind_of(word) for word in asked["kind"]),
        uses=_uses(index, asked["uses"], asked["between"]),
        same_as=index.named(same, "formula") if same else None,
        evidence=frozenset(asked[name] for name in ("never", "changed", "no_reading", "two_answers") if asked[name]),
        old_before=before if asked["old_standard"] else "",
        judged=asked["judged"] or "",
        near=near,
        limit=asked["limit"],
    )


def _uses(index: Index, names: tuple[str, ...], ranges: tuple[tuple[str, str], ...]) -> Any:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.ratio import exact
    from sprayout_library.index import Uses

    if ranges and len(ranges) != len(names):
        told = f"{counted(len(ranges), 'range')} for {counted(len(names), 'name')}"
        raise SprayoutError(told, "Give one --between for each --uses, in their order.", place="between")
    found = []
    for place, name in enumerate(names):
        low, high = (exact(text.removesuffix("%")) for text in ranges[place]) if ranges else (None, None)
        if low is not None and high is not None and not 0 <= low <= high <= 100:
            raise SprayoutError("a range runs from the smaller to the larger percentage, 0 to 100", place="between")
        found.append(Uses(index.named(name, "material", "formula"), low, high))
    return tuple(found)
