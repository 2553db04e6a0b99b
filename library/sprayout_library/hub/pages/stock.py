"""The stock wall: every dye neat over the shop's usual grounds, and which of those pieces nobody sprayed yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit

if TYPE_CHECKING:
    from sprayout_library.hub.pages.pieces import Piece
    from sprayout_library.index import Index, Place

__all__ = ["stock"]

#: Dyes on one page.
_MOST = 40


@dataclass(frozen=True, slots=True)
class Spot:
    """One place on the wall: the piece that hangs there, measured ones first; a mix to spray it of, or its line."""

    ground: str
    piece: Piece | None
    others: int
    mix: str
    line: str


def stock(visit: Visit) -> Reply:
    """Show the wall dye by dye, from one ground to the next."""
    over = [word for word in visit.asked.all("over") if word.strip()]
    page = max(1, int(text)) if (text := visit.asked.said("page", "1")).isdecimal() and len(text) < 5 else 1
    shown: dict[str, Any] = {
        "rows": [], "grounds": [], "missing": 0, "count": 0, "page": page, "pages": 1, "over": over,
        "materials": [one for one in visit.names.of_kind("material") if not one.withdrawn and one.role != "dye"][:500],
    }  # fmt: skip
    try:
        places = visit.asking(lambda index: _places(index, visit, over))
    except SprayoutError as error:
        known = not over  # nobody tagged a ground: that is no fault, it is asked
        told = {} if known else {"faults": error.faults}
        return Reply("stock.html", shown | told, 200 if known else 422, settled=known)
    dyes: dict[str, list[Place]] = {}
    for place in places:
        dyes.setdefault(place.dye.id, []).append(place)
    part = list(dyes.values())[(page - 1) * _MOST : page * _MOST]
    pieces = visit.pieces(one.id for row in part for place in row for one in place.panels)
    shown |= {
        "rows": [(row[0].dye, [_spot(place, pieces) for place in row]) for row in part],
        "grounds": list(dict.fromkeys(place.ground.name for place in places)),
        "missing": sum(not place.panels for place in places),
        "count": len(places),
        "pages": max(1, -(-len(dyes) // _MOST)),
    }
    return Reply("stock.html", shown, settled=True)


def _places(index: Index, visit: Visit, over: list[str]) -> list[Place]:
    from sprayout_library.index import baseline_grounds, stock_wall

    return stock_wall(index, visit.store.content, baseline_grounds(index, over))


def _spot(place: Place, pieces: dict[str, Piece]) -> Spot:
    order = [*place.measured, *(one for one in place.panels if not one.readings)]
    hung = [pieces[one.id] for one in order if one.id in pieces]
    mix = place.mixes[0].id if place.mixes else ""
    line = f"{place.dye.name} neat = 1 {place.dye.name}"
    return Spot(place.ground.name, hung[0] if hung else None, max(len(hung) - 1, 0), mix, line)
