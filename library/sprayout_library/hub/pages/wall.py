"""Look: the wall of panels as sprayed pieces, from light to dark or as they were sprayed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sprayout_library.hub.pages.pieces import Piece
from sprayout_library.hub.pages.visit import Reply, Visit

__all__ = ["wall"]

#: Pieces on one page.
MOST = 60
#: How the wall may be arranged: name, words, key; what was not measured hangs at the end of "light".
ORDERS: dict[str, tuple[str, Callable[[Piece], Any]]] = {
    "light": ("light to dark", lambda one: (one.lightness is None, -(one.lightness or 0.0), one.name)),
    "new": ("newest first", lambda one: (_backwards(one.sprayed_at), one.name)),
    "ground": ("by ground", lambda one: (one.over, -(one.lightness or 0.0), one.name)),
    "name": ("by name", lambda one: (one.name.casefold(), one.id)),
}


def _backwards(time: str) -> tuple[int, ...]:
    return tuple(-ord(sign) for sign in time)


def wall(visit: Visit) -> Reply:
    """Show the wall."""
    asked = visit.asked
    order = asked.said("order", "light")
    if order not in ORDERS:
        order = "light"
    words = asked.said("words").casefold()
    recipe = asked.said("recipe")
    pieces = [
        one
        for one in visit.pieces.values()
        if (not recipe or one.recipe == recipe)
        and (not words or words in f"{one.name} {one.recipe_name} {one.over}".casefold())
    ]
    pieces.sort(key=ORDERS[order][1])
    page = max(1, int(text)) if (text := asked.said("page", "1")).isdecimal() and len(text) < 6 else 1
    pages = max(1, -(-len(pieces) // MOST))
    page = min(page, pages)
    shown = {
        "pieces": pieces[(page - 1) * MOST : page * MOST],
        "count": len(pieces),
        "all": len(visit.pieces),
        "page": page,
        "pages": pages,
        "order": order,
        "orders": [(name, words) for name, (words, _) in ORDERS.items()],
        "recipe": recipe,
        "recipes": list(visit.names.of_kind("recipe")),
        "words": asked.said("words"),
        "view": _view_words(visit),
    }
    return Reply("wall.html", shown)


def _view_words(visit: Visit) -> str:
    from sprayout_library.record.between import views_of

    return str(views_of(visit.store, [])[0])
