"""sprayout leaving: what would go out at the next sync, told before anything does."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, heading, json_out, on_terminal, rows, say, soft

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sprayout_core.documents import Document
    from sprayout_library.record import Names
    from sprayout_library.store import Store
    from sprayout_library.sync import Leaving

_SHOWN = 12


@click.command("leaving")
@click.option(
    "--private", "reason", metavar="WHY", is_flag=False, flag_value="private",
    help="Mark this library private on this machine: nothing leaves before you said so.",
)  # fmt: skip
@click.option("--not-private", "way", flag_value="open", help="Take that mark away.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, reason: str | None, way: str | None, form: str | None) -> None:
    """Tell what would go out at the next sync, and what a stranger would have to guess of it. Sends nothing."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.sync import leaving, remotes, set_private

    if reason is not None and (way or not reason.strip()):
        raise SprayoutError("private, or not?", "Say --private WHY, or --not-private.")
    with desk.store() as store:
        if reason is not None or way:
            set_private(store, (reason or "").strip())
            say("Private on this machine: sync asks before anything leaves." if reason else "Not private any more.")
            return
        known = remotes(store)
        if not known:
            raise SprayoutError("this library is not shared, so nothing leaves", "Share it: sprayout sync --to ADDRESS")
        found = {place: leaving(store, remote) for place, remote in known.items()}
        names = desk.names(store)
        if form == "json":
            json_out({place: _data(store, names, one) for place, one in found.items()})
            return
        for place, one in found.items():
            tell_leaving(place, one, names)
            _tell_gaps(_gaps(store, names, one))


def tell_leaving(place: str, found: Leaving, names: Names) -> None:
    """Tell what would go to a place: how many, of what kinds, and the first names."""
    if not found.documents:
        say(f"{place}: nothing would leave; it is all there.")
        return
    say(f"{place}: {counted(len(found.documents), 'document')} would leave.", bold=True)
    rows([(kind, str(count)) for kind, count in sorted(found.kinds.items())])
    rows([("out", names.label(one)) for one in found.documents[:_SHOWN]])
    if len(found.documents) > _SHOWN:
        say(f"  and {len(found.documents) - _SHOWN} more")
    if found.private:
        say("  This library is marked private.", fg="yellow")
    for one in found.marked[:_SHOWN]:
        say(f"  {names.label(one)} is marked private.", fg="yellow")
    if found.first:
        say("  Nothing of it is there yet.", fg="yellow")


def ask_first(place: str, found: Leaving, names: Names, command: str) -> None:
    """Show what would leave and ask, where a person should say so first.

    Raises SprayoutError where nobody can be asked, click.Abort where the answer is no.
    """
    from sprayout_core.errors import SprayoutError

    if not found.asks:
        return
    if not on_terminal():
        marked = ", ".join(names.label(one) for one in found.marked[:3])
        why = f"with {marked}, marked private" if found.marked else "which is more than usual"
        why = "from a library marked private" if found.private else why
        raise SprayoutError(
            f"{counted(len(found.documents), 'document')} would leave, {why}",
            f"Look: sprayout leaving. If it shall go out: {command} --yes",
            place=place,
        )
    tell_leaving(place, found, names)
    click.confirm("Let it go out?", abort=True)


def ask_private(store: Store, documents: Iterable[Document], command: str) -> None:
    """Name what is marked private among documents that would go to somebody, and ask.

    Raises SprayoutError where nobody can be asked, click.Abort where the answer is no.
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record import kind_said
    from sprayout_library.sync import is_marked_private

    marked = [f"{kind_said(one.kind)} {one.name}" for one in documents if is_marked_private(one)]
    if store.facts.get("private"):
        marked.insert(0, "this library")
    if not marked:
        return
    told = ", ".join(marked[:_SHOWN])
    if not on_terminal():
        raise SprayoutError(f"marked private: {told}", f"If it shall go out: {command} --yes")
    say(f"Marked private: {told}.", fg="yellow")
    click.confirm("Let it go out?", abort=True)


def _gaps(store: Store, names: Names, found: Leaving) -> dict[str, int]:
    """Return how many things a stranger would have to guess, by id of each mix and recipe that would leave."""
    from sprayout_core.documents import Formula, Recipe
    from sprayout_library.record.about import evidence_about
    from sprayout_library.record.gaps import gaps_of

    counts = {}
    for identity in found.documents:
        document = store.get(identity)
        if isinstance(document, Formula | Recipe):
            gaps = gaps_of(document, store.find, evidence_about(store, document), names.label)
            if gaps:
                counts[names.label(identity)] = len(gaps)
    return counts


def _tell_gaps(gaps: dict[str, int]) -> None:
    if gaps:
        heading("What a stranger would have to guess")
        rows([(name, counted(number, "thing")) for name, number in list(gaps.items())[:_SHOWN]])
        if len(gaps) > _SHOWN:
            say(f"  and of {len(gaps) - _SHOWN} more")
        soft(f'  Which: sprayout gaps "{next(iter(gaps))}"')


def _data(store: Store, names: Names, found: Leaving) -> dict[str, object]:
    return {
        "documents": found.documents,
        "kinds": found.kinds,
        "first": found.first,
        "private": found.private,
        "marked_private": found.marked,
        "gaps": _gaps(store, names, found),
    }
