"""sprayout check: is everything in the library whole; mend what can be mended."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, json_out, say, soft

if TYPE_CHECKING:
    from sprayout_core.errors import Fault
    from sprayout_library.store import Condition, Store

_JOIN = "Join again from where it is shared, or from a stick: all that was sent is there."


@click.command("check")
@click.option("--mend", "way", flag_value="mend", help="Mend what can be mended without guessing, and tidy up.")
@click.option("--json", "form", flag_value="json", help="As JSON, each finding in full.")
@click.pass_obj
def command(desk: Desk, /, way: str | None, form: str | None) -> None:
    """Read everything in the library as a stranger would and tell what is wrong. Changes nothing without --mend."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.store import check, pack, repair, wants_packing

    with desk.store() as store:
        done: list[str] = repair(store) if way else []
        found = check(store)
        untidy = wants_packing(store)
        if way and untidy and found.sound:
            pack(store)
            done.append("tidied")
            untidy = False
        if form == "json":
            json_out(_data(found, done))
        else:
            _tell(desk, store, found, done)
            if untidy:
                soft("  Many small pieces have gathered; tidied up it is quicker: sprayout check --mend")
    if not found.sound:
        remedy = _JOIN if way else "Mend what can be mended: sprayout check --mend"
        raise SprayoutError("the library is not whole", remedy)


def _tell(desk: Desk, store: Store, found: Condition, done: list[str]) -> None:
    waste = sum(1 for one in done if one.startswith("threw away"))
    if waste:
        say(f"Thrown away: {counted(waste, 'leftover')} of commands that were stopped.")
    if any(one.startswith("put main") for one in done):
        say("Put right: what this copy shows is what it holds again.")
    aside = sum(1 for one in done if one.startswith("put aside"))
    if aside:
        say(f"Put aside: {counted(aside, 'file')} of another program. Keep the library where nothing else syncs files.")
    if "tidied" in done:
        say("Tidied up.")
    lines = _in_words(desk, store, found.faults)
    for place, problem in lines:
        say(f"  {place}: {problem}", fg="red")
    if found.sound:
        say(f"Whole: {counted(found.documents, 'document')} read, nothing is wrong.")
    if found.waste:
        say(f"Left behind by commands that were stopped: {counted(len(found.waste), 'piece')}; they do no harm.")
        soft("  To throw them away: sprayout check --mend")
    for note in found.notes:
        soft(f"  {note}")


def _in_words(desk: Desk, store: Store, faults: list[Fault]) -> list[tuple[str, str]]:
    """Return (what, what is wrong with it) in the words of a shop; how it is kept on disk is left out."""
    from sprayout_library.store.care import ANOTHER_PROGRAM

    lines = []
    broken = [fault for fault in faults if fault.place in {"repository", ""}]
    if broken:
        lines.append(("what is kept", f"something in it is missing or broken ({counted(len(broken), 'finding')})"))
    for fault in faults:
        if fault in broken:
            continue
        if fault.place == ANOTHER_PROGRAM:
            lines.append((fault.place, fault.problem))
            continue
        if fault.place.startswith("refs/"):
            lines.append(("this copy", "what it shows is not what it holds"))
        else:
            lines.append((_called(desk, store, fault.place), fault.problem))
    return lines


def _called(desk: Desk, store: Store, place: str) -> str:
    """Return what people call a document, from the place it is kept at; nameless where it cannot be read."""
    from sprayout_core.errors import SprayoutError

    kind, _, rest = place.partition("/")
    path, _, field = rest.partition(": ")
    if not path.endswith(".json"):
        return "something that is no document"
    identity = path.rpartition("/")[2].removesuffix(".json")
    try:
        called = desk.names(store).label(identity)
    except (SprayoutError, ValueError):  # what is broken may not even tell its title
        called = f"…{identity[-6:]}"
    return f"{kind} {called}" + (f", {field}" if field else "")


def _data(found: Condition, done: list[str]) -> dict[str, object]:
    return {
        "whole": found.sound,
        "documents": found.documents,
        "faults": [{"place": one.place, "problem": one.problem, "remedy": one.remedy} for one in found.faults],
        "left_behind": found.waste,
        "notes": found.notes,
        "done": done,
    }
