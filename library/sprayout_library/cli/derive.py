"""sprayout derive: our version of a mix or a recipe, with its lineage."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Document
    from sprayout_library.record import Names
    from sprayout_library.store import Store


@click.command("derive")
@click.argument("parent")
@click.argument("title")
@click.option("--parts", metavar="LINE", help='Another ratio: "5 weak teal : 3 strong teal". For a mix.')
@click.option("--swap", multiple=True, metavar="OLD=NEW", help="Another mix in its coats, or ground. For a recipe.")
@click.option("--over", multiple=True, metavar="GROUND", help="Other grounds instead. For a recipe.")
@click.option("--coat", multiple=True, metavar="WORDS", help='Other coats instead: "5 Kelp glass". For a recipe.')
@click.option("--clear", metavar="MATERIAL", help="Another clear. For a recipe.")
@click.option("--version", "number", type=click.IntRange(min=1), help="From an earlier version of PARENT.")
@click.pass_obj
def command(
    desk: Desk, /, parent: str, title: str, parts: str | None, swap: tuple[str, ...], over: tuple[str, ...],
    coat: tuple[str, ...], clear: str | None, number: int | None,
) -> None:  # fmt: skip
    """Write TITLE as our version of PARENT. The difference to its parent is always shown."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.lineage import derived, tell_between
    from sprayout_library.record.versions import version_of

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        held = desk.document(store, parent)
        if number is not None:
            held = version_of(store, held.id, number, names.label).document
        if names.matching(title, held.kind):
            raise SprayoutError(f"{title!r} is there already", "Give your version a name of its own.")
        if held.kind == "formula":
            _only("recipe", swap=swap, over=over, coat=coat, clear=clear)
            changed = _mix_changed(parts, names)
        else:
            _only("mix", parts=parts)
            changed = _recipe_changed(held, swap, over, coat, clear, names)
        document = derived(writer, held, title, changed)
        check_cycle(document, store)
        writer.save([document], f"{title}, our version of {held.name}")
        desk.renamed()
        say(f"{title}: our version of {held.name}; saved.", bold=True)
        lines = tell_between(held, document, desk.names(store).label)
        heading(f"Against {held.name}")
        rows([(f"{line.layer.value}:", line.text) for line in lines] or [("the same so far", "")])
        if not lines:
            soft(f'Change it: sprayout {"mix" if held.kind == "formula" else "recipe"} "{title}" ...')


def _only(kind: str, **given: Any) -> None:
    from sprayout_core.errors import SprayoutError

    for name, value in given.items():
        if value:
            raise SprayoutError(f"--{name} is for a {kind}", f"Name a {kind} as the parent.")


def _mix_changed(parts: str | None, names: Names) -> dict[str, Any]:
    from sprayout_core.mix import parse_line
    from sprayout_library.record import mix_from_line

    return {"mix": mix_from_line(parse_line(parts), names)} if parts else {}


def _recipe_changed(
    held: Document, swap: tuple[str, ...], over: tuple[str, ...], coat: tuple[str, ...], clear: str | None, names: Names
) -> dict[str, Any]:
    from sprayout_library.record import coat_from_words
    from sprayout_library.record.lineage import facts_of
    from sprayout_library.record.recipes import thing

    changed: dict[str, Any] = {}
    if over:
        changed["grounds"] = [thing(ground, names) for ground in over]
    if coat:
        changed["coats"] = [coat_from_words(words, names) for words in coat]
    if clear:
        changed["clear"] = {"of": thing(clear, names)}
    for pair in swap:
        _swapped(pair, {**facts_of(held), **changed}, changed, names)
    return changed


def _swapped(pair: str, facts: dict[str, Any], changed: dict[str, Any], names: Names) -> None:
    from sprayout_core.errors import SprayoutError

    old, sign, new = pair.partition("=")
    if not sign or not old.strip() or not new.strip():
        raise SprayoutError(f"--swap {pair!r} says no two names", 'Write "OLD=NEW".')
    out = names.find(old.strip(), "material", "formula").id
    instead = names.find(new.strip(), "material", "formula")
    found = "no"
    if instead.kind == "formula":
        coats = [{**coat, "formula": instead.id} if coat["formula"] == out else coat for coat in facts.get("coats", ())]
        if coats != facts.get("coats"):
            changed["coats"], found = coats, "yes"
    grounds = [
        {"kind": instead.kind, "id": instead.id} if ground["id"] == out else ground
        for ground in facts.get("grounds", ())
    ]
    if grounds != facts.get("grounds"):
        changed["grounds"], found = grounds, "yes"
    if found == "no":
        raise SprayoutError(f"{old.strip()!r} is in no coat and no ground of it", "See `sprayout show`.")


def check_cycle(document: Document, store: Store) -> None:
    """Refuse a mix that would contain itself through others, before it is saved."""
    from sprayout_core.documents import Formula, MissingDocument, OpenQuestion, proofs

    if isinstance(document, Formula):
        try:
            proofs(document, lambda name: document if name == document.id else store.find(name))
        except (OpenQuestion, MissingDocument):
            return
