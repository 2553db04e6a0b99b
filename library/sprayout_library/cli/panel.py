"""sprayout panel: record a sprayed panel, with everything it proves pinned."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft


@click.command("panel")
@click.argument("recipe")
@click.option("--over", metavar="GROUND", help="Which ground of the recipe; not needed where it has one.")
@click.option("--label", metavar="CODE", help="The code on the back; readings find the panel by it.")
@click.option("--coat", multiple=True, metavar="WORDS", help="As it really went on; by default as the recipe says.")
@click.option(
    "--cup",
    "cups",
    multiple=True,
    metavar="CODE",
    help="The cup it was sprayed from, by the code on its label; repeat it for each mix.",
)
@click.option(
    "--used",
    multiple=True,
    metavar="CUP=AMOUNT",
    help='What was sprayed out of a cup: "C1=80 ml" or C1=rest; repeat it.',
)
@click.option("--steps", metavar="COATS", help="A step card: how many coats each step has, such as 0,2,5,7.")
@click.option(
    "--zone", multiple=True, type=click.Choice(["over_black", "over_white", "over_ground"]),
    help="A part of it over another ground, as on a contrast card; repeat it.",
)  # fmt: skip
@click.option(
    "--shape", type=click.Choice(["flat", "curved"]), default="flat", show_default=True,
    help="A curved one shows every angle at once.",
)  # fmt: skip
@click.option(
    "--stage", type=click.Choice(["bare", "cleared", "polished"]), default="bare", show_default=True,
    help="What has been done to it so far.",
)  # fmt: skip
@click.option("--at", metavar="TIME", help="When it was sprayed, such as 2026-03-02T09:10:00Z; by default now.")
@click.pass_obj
def command(
    desk: Desk, /, recipe: str, over: str | None, label: str | None, coat: tuple[str, ...], cups: tuple[str, ...],
    used: tuple[str, ...], steps: str | None, zone: tuple[str, ...], shape: str, stage: str, at: str | None,
) -> None:  # fmt: skip
    """Record a panel of RECIPE: it proves the version that was sprayed.

    From a cup that was poured, it proves what that cup was, with its lots and what was really poured.

    \b
    sprayout panel "Kelp fade" --over bronze --label KF-9
    sprayout panel "Kelp fade" --over bronze --label KF-9 --cup C3 --used "C3=80 ml"
    """
    from sprayout_core.documents import Recipe, SprayedCoat
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.panel_cups import PanelCups
    from sprayout_library.record import coat_from_words, now_text, panel_facts
    from sprayout_library.record.panels_words import steps_from_words

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        document = desk.document(store, recipe, "recipe")
        assert isinstance(document, Recipe)
        if label and names.matching(label, "panel"):
            raise SprayoutError(f"a panel is labelled {label!r} already", "Give each piece a code of its own.")
        ground = _ground(document, over, desk, store)
        sprayed = []
        for words in coat:
            said = coat_from_words(words, names)
            kept = {name: said[name] for name in ("formula", "count", "spray_ready", "laid", "film_um") if name in said}
            sprayed.append(SprayedCoat.model_validate(kept))
        sprayed_at = at or now_text(writer.clock())
        bench = PanelCups.of(store, names, cups, used)
        sprayed, pins = bench.coats(document, sprayed)
        facts = panel_facts(
            document, ground, store.find, sprayed, pins, label=label, title=label, shape=shape,
            zones=list(zone) or None, steps=steps_from_words(steps) if steps else None, stage={"surface": stage},
            sprayed_at=sprayed_at,
        )  # fmt: skip
        panel = writer.new("panel", facts)
        writer.save([panel, *bench.emptied(writer, sprayed_at)], f"Panel {panel.name} of {document.name}")
        name = label or f"…{panel.id[-6:]}"
        quoted = f'"{name}"' if " " in name else name
        say(f"{panel.name}: {document.name} over {names.label(ground)}, {stage}; it proves {bench.proves()}.")
        bench.tell(document)
        soft(f"Next: sprayout import FILE.csv (rows named {name} find it), or sprayout show {quoted}")


def _ground(recipe: object, over: str | None, desk: Desk, store: object) -> str:
    from sprayout_core.errors import SprayoutError

    grounds = [one.id for one in (recipe.grounds or {}).values()]  # type: ignore[attr-defined]
    names = desk.names(store)  # type: ignore[arg-type]
    if over:
        return names.find(over, "material", "formula").id
    if len(grounds) == 1:
        return str(grounds[0])
    told = ", ".join(names.label(ground) for ground in grounds)
    raise SprayoutError("over which ground?", f"Give --over with one of: {told}.")
