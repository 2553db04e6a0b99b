"""sprayout list: what the library holds."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, json_out, rows, say, soft

_PLURAL = {
    "formula": "mixes", "recipe": "recipes", "panel": "panels", "material": "materials", "batch": "cups",
    "judgement": "judgements", "picture": "pictures", "shop": "shops", "library": "library", "reading": "readings",
}  # fmt: skip
_ALSO = {"mix": "formula", "mixes": "formula", "cup": "batch", "cups": "batch"}


def kind_of(word: str) -> str:
    """Return the kind that a word means. Raises SprayoutError for none."""
    from sprayout_core.errors import SprayoutError

    by_plural = {plural: kind for kind, plural in _PLURAL.items()}
    kind = _ALSO.get(word, by_plural.get(word, word))
    if kind not in _PLURAL:
        raise SprayoutError(f"{word!r} is nothing a library holds", f"Use one of: {', '.join(_PLURAL.values())}.")
    return kind


@click.command("list")
@click.argument("what", required=False)
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, what: str | None, form: str | None) -> None:
    """List everything, or one kind: mixes, recipes, panels, materials, readings ..."""
    kinds = [kind_of(what)] if what else [kind for kind in _PLURAL if kind not in ("reading", "library")]
    with desk.store() as store:
        names = desk.names(store)
        found = list(names.of_kind(*kinds))
        if form == "json":
            json_out([{"kind": one.kind, "id": one.id, "title": one.title, "label": one.label,
                       "withdrawn": one.withdrawn, "questions": list(one.asked)} for one in found])  # fmt: skip
            return
        for kind in kinds:
            entries = [entry for entry in found if entry.kind == kind]
            if entries:
                heading(_PLURAL[kind].capitalize())
                rows([(one.name, one.role, _marks(one.withdrawn, one.asked), f"…{one.id[-6:]}") for one in entries])
        if not found:
            say("Nothing yet.")
            soft('Begin: sprayout mix "Name = 5 this : 2 that"')


def _marks(withdrawn: bool, asked: tuple[str, ...]) -> str:  # noqa: FBT001 - a fact of the entry, not a switch
    return "withdrawn" if withdrawn else ("two answers" if asked else "")
