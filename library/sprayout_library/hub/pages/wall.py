"""Look: the wall of panels as sprayed pieces, from light to dark, as they were sprayed, or hung by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.arranged import hung_by_hand, keep, kept, moved, placed
from sprayout_library.hub.pages.rack import Hung, Newest, newest_first
from sprayout_library.hub.pages.visit import Reply, Visit

__all__ = ["arrange", "wall"]

#: Pieces on one page.
MOST = 60
ORDERS = {
    "light": "light to dark", "new": "newest first", "ground": "by ground", "name": "by name", "hand": "by hand",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wanted:
    """How the wall is to be hung: in which order, of which recipe, with which words, from which page on."""

    order: str
    recipe: str
    words: str
    page: int

    def address(self, page: int) -> str:
        """Return what stands behind the question mark for one of its pages."""
        return urlencode({"order": self.order, "recipe": self.recipe, "words": self.words, "page": page})


def _wanted(visit: Visit) -> Wanted:
    asked = visit.asked
    order = asked.said("order", "light")
    page = max(1, int(text)) if (text := asked.said("page", "1")).isdecimal() and len(text) < 6 else 1
    return Wanted(order if order in ORDERS else "light", asked.said("recipe"), asked.said("words")[:200], page)


def wall(visit: Visit) -> Reply:
    """Show the wall."""
    wanted = _wanted(visit)
    panels = _hung(visit, wanted)
    pages = max(1, -(-len(panels) // MOST))
    page = min(wanted.page, pages)
    shown = {
        "pieces": list(visit.pieces(panels[(page - 1) * MOST : page * MOST]).values()),
        "first": (page - 1) * MOST + 1,
        "count": len(panels),
        "all": len(visit.hung),
        "page": page,
        "pages": pages,
        "before": wanted.address(page - 1),
        "after": wanted.address(page + 1),
        "order": wanted.order,
        "orders": list(ORDERS.items()),
        "recipe": wanted.recipe,
        "recipes": list(visit.names.of_kind("recipe")),
        "words": wanted.words,
        "view": str(visit.view),
    }
    return Reply("wall.html", shown, settled=wanted.order != "hand")


def _hung(visit: Visit, wanted: Wanted) -> list[str]:
    """Return the panels of the wall, in order."""
    words = wanted.words.casefold()
    by_hand = wanted.order == "hand"
    order = "light" if by_hand else wanted.order
    key = _key(order, visit)
    sort = newest_first if order == "new" else lambda panels: panels.sort(key=key)
    panels = visit.seen.in_order(visit.store, order, sort, key)
    if wanted.recipe:
        panels = [one for one in panels if one.recipe == wanted.recipe]
    if words:
        texts = visit.seen.texts(visit.store, lambda one: _text(one, visit))
        panels = [one for one in panels if words in texts[one.id]]
    found = [one.id for one in panels]
    return hung_by_hand(kept(_library(visit)), found) if by_hand else found


def _key(order: str, visit: Visit) -> Callable[[Hung], Any]:
    """Return what an order of the wall goes by."""
    if order == "name":
        return lambda one: (one.name.casefold(), one.id)
    if order == "new":
        return Newest
    grounds = visit.names.label if order == "ground" else lambda _: ""
    return _by_light(visit.lightness(), grounds)


def _by_light(light: Mapping[str, float], grounds: Callable[[str], str]) -> Callable[[Hung], Any]:
    """Return the key for hanging from light to dark, ground by ground where any are told; unmeasured ones last."""

    def order(one: Hung) -> tuple[str, bool, float, str, str]:
        ground = grounds(one.ground.id) if one.ground else ""
        return ground, one.id not in light, -light.get(one.id, 0.0), one.name, one.id

    return order


def _text(one: Hung, visit: Visit) -> str:
    """Return what a panel is found by: its name, its recipe and its ground."""
    label = visit.names.label
    recipe, over = label(one.recipe) if one.recipe else "", label(one.ground.id) if one.ground else ""
    return f"{one.name} {recipe} {over}".casefold()


def _library(visit: Visit) -> str:
    return next((entry.id for entry in visit.names.of_kind("library")), visit.store.copy_id)


def arrange(visit: Visit) -> Reply:
    """Hang pieces otherwise: one a place on or back, or several at places told; kept for this machine."""
    visit.writer()
    asked, wanted = visit.asked, replace(_wanted(visit), order="hand")
    shown = _hung(visit, wanted)
    if asked.said("move"):
        panel, _, by = asked.said("move").partition(" ")
        if panel not in shown or by not in ("1", "-1"):
            raise SprayoutError("that piece does not hang here any more", "Look at the wall as it is now.")
        after = moved(shown, panel, int(by))
    else:
        after = placed(shown, _places(visit))
    library = _library(visit)
    whole = _hung(visit, Wanted("hand", "", "", 1))
    slots = iter(after)
    among = set(shown)
    keep(library, [next(slots) if one in among else one for one in whole])
    return visit.go(f"/look?{wanted.address(wanted.page)}")


def _places(visit: Visit) -> dict[str, int]:
    found = {}
    for name in visit.asked.form:
        if name.startswith("place-") and (text := visit.asked.said(name)):
            if not text.isdecimal() or len(text) > 6:
                raise SprayoutError(f"{text[:20]!r} is no place", "Give a number from 1 on.")
            found[name.removeprefix("place-")] = int(text)
    return found
