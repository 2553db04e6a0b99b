"""sprayout recipe: a coat schedule over one or several grounds."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft


@click.command("recipe")
@click.argument("title")
@click.option("--over", multiple=True, metavar="GROUND", help="A ground, by name; repeat it for several.")
@click.option(
    "--coat",
    multiple=True,
    metavar="WORDS",
    help='"5 Kelp glass bodied, through small, laid wet"; repeat it.',
)
@click.option("--clear", metavar="WORDS", help='The clear over it all: "2 two-pack gloss", or its name alone.')
@click.option("--tag", multiple=True, help="A word to find it by; repeat it.")
@click.option(
    "--anew", "way", flag_value="anew", help="The coats given are the whole schedule, instead of what was there."
)
@click.pass_obj
def command(
    desk: Desk,
    /,
    title: str,
    over: tuple[str, ...],
    coat: tuple[str, ...],
    clear: str | None,
    tag: tuple[str, ...],
    way: str | None,
) -> None:
    """Write the recipe TITLE, or add grounds, coats and a clear to it.

    Counts may be 5, "4 to 5", "about 5" or "until covered". To change a count, give all coats with --anew.
    """
    from sprayout_core.compare import Add, Change, Put
    from sprayout_core.documents import Recipe
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import coat_from_words, recipe_facts
    from sprayout_library.record.recipes import clear_from_words, coats_anew, thing

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        if names.matching(title, "recipe"):
            held = desk.document(store, title, "recipe")
            changes: list[Change] = [Add("grounds", thing(ground, names)) for ground in over]
            assert isinstance(held, Recipe)
            coats = [coat_from_words(words, names) for words in coat]
            if way and not coats:
                raise SprayoutError("--anew without a coat", 'Give every coat of the schedule: --coat "5 NAME".')
            changes += coats_anew(held, coats) if way else [Add("coats", one) for one in coats]
            changes += [Add("tags", one) for one in tag]
            if clear:
                changes.append(Put("clear", clear_from_words(clear, names)))
            document = writer.edited(held, changes)
        else:
            if not over or not coat:
                raise SprayoutError(f"{title!r} is new", 'Give at least --over GROUND and --coat "5 NAME".')
            held = None
            document = writer.new("recipe", {**recipe_facts(title, over, coat, clear, names), "tags": list(tag)})
        if document is held:
            say(f"{title}: it stands so already.")
            return
        writer.save([document], f"Recipe {title}")
        grounds = ", ".join(names.label(one.id) for one in (document.grounds or {}).values())  # type: ignore[attr-defined]
        say(f"{document.name}: over {grounds}; saved.")
        if held is not None and coat:
            for _, one in document.coats_in_order():  # type: ignore[attr-defined]
                say(f"  {one.count}  {names.label(one.formula)}")
        soft(f'Next: spray it, then sprayout panel "{document.name}" --over GROUND --label CODE')
