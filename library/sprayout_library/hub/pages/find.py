"""Find: everything that goes by some words."""

from __future__ import annotations

from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record import Entry

__all__ = ["find"]

_MOST = 200


def find(visit: Visit) -> Reply:
    """Show what goes by these words; where there is just one, that."""
    words = " ".join(visit.asked.said("words").casefold().split())[:200]
    found: list[Entry] = []
    if words:
        end = words.removeprefix("…")
        for entry in visit.names.of_kind():
            called = " ".join((visit.names.label(entry.id), entry.title, entry.label, *entry.aliases)).casefold()
            if all(word in called for word in words.split()) or (len(end) > 3 and entry.id.endswith(end)):
                found.append(entry)
    if len(found) == 1 and found[0].kind != "library":
        return visit.go(f"/thing/{found[0].id}")
    shown = {"words": visit.asked.said("words"), "found": found[:_MOST], "count": len(found),
             "near": [] if found else visit.names.near(words)}  # fmt: skip
    return Reply("find.html", shown)
