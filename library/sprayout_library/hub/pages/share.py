"""Share: who is in sync, two answers, what a stranger would have to guess, one file for another shop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sprayout_core.documents import Formula, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.copies import Copy, copies_mark, copies_of, copies_told
from sprayout_library.hub.pages.guessed import guessed
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit
from sprayout_library.record import Entry
from sprayout_library.record.answers import open_answers
from sprayout_library.record.between import manifest_of

__all__ = ["packet", "share"]


@dataclass(frozen=True, slots=True)
class Place:
    """A place this library is shared through, and what would leave for it; `because` says why that is not known."""

    name: str
    waiting: int | None
    kinds: tuple[tuple[str, int], ...] = ()
    because: str = ""


def share(visit: Visit) -> Reply:
    """Show what is shared, what would leave, and what would be guessed."""
    names = visit.names
    shown: dict[str, Any] = {
        "questions": visit.once("questions", lambda: open_answers(visit.store, names)),
        "places": _places(visit),
        "at_hub": visit.links is not None,
        "copies": copies_told(visit.store) if visit.asked.said("check") else _copies(visit),
        "checked": bool(visit.asked.said("check")),
        "shops": [entry.name for entry in names.of_kind("shop")],
        "recipes": visit.once("recipes", lambda: _recipes(visit)),
    }
    return Reply("share.html", shown)


def _copies(visit: Visit) -> list[Copy]:
    """Return the other copies; looked at again once any of them stands elsewhere."""
    return visit.once(f"copies {copies_mark(visit.store)}", lambda: copies_of(visit.store))


def _places(visit: Visit) -> list[Place]:
    from sprayout_library.sync import leaving, remotes

    found = []
    for name, remote in remotes(visit.store).items():
        if not visit.asked.said("check"):
            found.append(Place(name, None))
            continue
        try:
            told = leaving(visit.store, remote)
            found.append(Place(name, len(told.documents), tuple(sorted(told.kinds.items()))))
        except SprayoutError as error:
            found.append(Place(name, None, because=error.fault.problem))
    return found


def _recipes(visit: Visit) -> list[tuple[Entry, tuple[int, int]]]:
    """Return each recipe in use with how much a stranger would have to guess, and how much of that hinders."""
    return [(entry, _gaps(visit, entry.id)) for entry in visit.names.of_kind("recipe") if not entry.withdrawn]


def _gaps(visit: Visit, identity: str) -> tuple[int, int]:
    document = visit.find(identity)
    if document is None:
        return 0, 0
    found = guessed(document, visit)
    return len(found), sum(1 for gap in found if gap.hinders == "yes")


def packet(visit: Visit) -> Reply:
    """Give one recipe or mix as a file, with everything it needs and what is known of it."""
    from sprayout_library.packet import gathered, packet_bytes
    from sprayout_library.record import tool_name

    document = visit.document(visit.asked.parts["id"])
    if not isinstance(document, Recipe | Formula):
        raise NotThere("only recipes and mixes are given as a packet here", "Give the recipe of it.")
    manifest = manifest_of(visit.store)
    sent = {"from": manifest.name if manifest else "", "shop": "", "by": "", "at": visit.at, "tool": tool_name()}
    content = packet_bytes(gathered(visit.store, [document], sent, visit.names.label, {}))
    plain = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-_") else "-" for sign in document.name)
    return Reply(content=content, media="application/octet-stream", save_as=f"{plain[:60]}.packet")
