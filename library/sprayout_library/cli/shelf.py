"""sprayout shelf: the shop's own bottles and how strong they are, and a recipe poured from them."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft


@click.group("shelf", invoke_without_command=True)
@click.option("--json", "form", flag_value="json", help="What stands on it, as JSON.")
@click.pass_context
def command(ctx: click.Context, form: str | None) -> None:
    """My shelf: what this shop has for each material. Without more words: what stands on it.

    It is kept on this machine; recipes and mixes that others share stay as they are.

    \b
    sprayout shelf have "weak teal" --lot L42 --strength "1.15 +- 0.08"
    sprayout shelf for "Kelp fade"
    sprayout shelf empty "weak teal"
    """
    if ctx.invoked_subcommand is None:
        _list(form)


def _list(form: str | None) -> None:
    from dataclasses import asdict

    from sprayout_library.film.shelf import my_shelf

    found = sorted(my_shelf().values(), key=lambda one: one.name)
    if form == "json":
        json_out([asdict(one) for one in found])
        return
    rows((one.name, one.words) for one in found)
    if not found:
        say("Nothing on your shelf yet.")
        soft('Begin: sprayout shelf have "weak teal" --lot L42, or sprayout bottle ... --keep')


@command.command("have")
@click.argument("material")
@click.option("--product", default="", help="What it really is, where it is another product.")
@click.option("--lot", default="", help="Its lot.")
@click.option(
    "--strength", metavar="TEXT", help='Beside the recipe\'s bottle: "1.15 +- 0.08"; left out: never checked.'
)
@click.pass_obj
def have(desk: Desk, /, material: str, product: str, lot: str, strength: str | None) -> None:
    """Put your own bottle for MATERIAL on the shelf; one that stood there is replaced."""
    from sprayout_core.documents import Material
    from sprayout_library.film.shelf import Own, put_on_shelf, strength_from_words

    with desk.store() as store:
        document = desk.document(store, material, "material")
        assert isinstance(document, Material)
        value, give = strength_from_words(strength) if strength else (1.0, 0.0)
        own = Own(document.name, product.strip(), lot.strip(), value, give, "as told" if strength else "")
        put_on_shelf(document, own)
    say(f"{own.name}: {own.words}.")


@command.command("empty")
@click.argument("material")
@click.pass_obj
def empty(desk: Desk, /, material: str) -> None:
    """Take the bottle for MATERIAL off the shelf."""
    from sprayout_core.documents import Material
    from sprayout_library.film.shelf import take_off_shelf

    with desk.store() as store:
        document = desk.document(store, material, "material")
        assert isinstance(document, Material)
        take_off_shelf(document)
    say(f"{document.name}: off your shelf.")


@command.command("for")
@click.argument("recipe")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def for_(desk: Desk, /, recipe: str, form: str | None) -> None:
    """Tell what your shelf has for each material of RECIPE (or of a mix), and how to pour it from there."""
    from sprayout_library.film.shelf import from_my_shelf

    with desk.store() as store:
        found = from_my_shelf(store, desk.names(store), recipe)
    if form == "json":
        json_out(found.data())
        return
    say(f"{found.name}, from your shelf", bold=True)
    rows((name, role, own.words if own else "not on your shelf") for name, role, own in found.materials)
    for mix in found.mixes:
        heading(mix.mix)
        rows(
            [
                ("", "written", "from your shelf", "simple"),
                *(
                    (
                        one.name,
                        f"{float(one.written):g}",
                        _with_give(float(one.exact), float(one.give)),
                        f"{one.simple}",
                    )
                    for one in mix.parts
                ),
            ]
        )
        if mix.remark:
            say(f"  {mix.remark}")
    soft("  The shared recipe stays as it is; strengths never checked count as equal.")


def _with_give(exact: float, give: float) -> str:
    return f"{exact:g} +- {2 * give:.2g}" if give else f"{exact:g}"
