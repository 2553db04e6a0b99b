"""Looking before spraying: a mix over each ground, coat by coat; its ratio slid; ratios of two side by side."""

from __future__ import annotations

from typing import Any

from sprayout_core.documents import Formula
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import parse_line
from sprayout_library.hub.pages.visit import Reply, Visit

__all__ = ["grid"]

#: The slider moves a mix of two parts by twelfths.
TWELVE = 12


def grid(visit: Visit) -> Reply:
    """Show the predicted grid of a mix, a name or a line; and ratios side by side where two were named."""
    asked = visit.asked
    mix = asked.said("mix")[:500]
    if mix in visit.names.entries:
        mix = visit.names.label(mix)
    slid = _pair(visit, mix)
    if slid and asked.said("was") == mix and asked.said("slide").isdecimal() and int(asked.said("slide")) != slid[2]:
        second = min(int(asked.said("slide")), TWELVE)
        mix, slid = _line(slid[0], slid[1], second), (slid[0], slid[1], second)
    shown: dict[str, Any] = {
        "mix": mix, "coats": asked.said("coats", "1 to 6"), "look": None, "slid": slid, "twelve": TWELVE,
        "ladder": None,
        "pair": {name: asked.said(name) for name in ("first", "second", "over", "count")}, "to_spray": [],
        "grounds": [entry.name for entry in visit.names.of_kind("material") if entry.role in _GROUNDS],
        "less": _slid(slid, -1), "more": _slid(slid, 1), "worth": (),
    }  # fmt: skip
    try:
        if mix:
            shown |= _looked(visit, mix, shown["coats"])
        if shown["pair"]["first"] and shown["pair"]["second"]:
            shown["ladder"] = _laddered(visit, shown["pair"])
    except SprayoutError as error:
        return Reply("grid.html", shown | {"faults": error.faults}, 422)
    return Reply("grid.html", shown)


_GROUNDS = ("metallic", "solid", "sealer")


def _looked(visit: Visit, mix: str, coats: str) -> dict[str, Any]:
    from sprayout_library.film.ladders import worth_spraying_next
    from sprayout_library.film.looks import look

    found = look(visit.store, visit.names, mix, coats=coats)
    reasons = dict.fromkeys(one.hatched for row in found.rows for one in row if one.hatched)
    worth = worth_spraying_next(visit.store, visit.names, mix, coats=coats) if visit.asked.said("worth") else ()
    return {"look": found, "to_spray": list(reasons), "worth": worth}


def _laddered(visit: Visit, pair: dict[str, str]) -> Any:
    from sprayout_library.film.ladders import ladder

    if not pair["over"]:
        raise SprayoutError("over which ground?", "Choose one: a mix alone has no colour.")
    return ladder(visit.store, visit.names, pair["first"], pair["second"], pair["over"], pair["count"] or "3")


def _pair(visit: Visit, mix: str) -> tuple[str, str, int] | None:
    """Return the two names of a mix of two parts and how many twelfths the second is; None for any other mix."""
    parts: list[tuple[str, float]] = []
    held = visit.names.matching(mix, "formula") if mix else []
    if len(held) == 1 and isinstance(formula := visit.store.get(held[0].id), Formula) and formula.mix:
        parts = [(visit.names.label(key), float(one.ratio or 0)) for key, one in (formula.mix.items or {}).items()]
        if formula.mix.basis == "mass":
            return None
    elif ":" in mix:
        try:
            parts = [(one.name, 0.0 if one.unit else float(one.amount)) for one in parse_line(mix).parts]
        except SprayoutError:
            return None
    whole = sum(ratio for _, ratio in parts)
    if (
        len(parts) != 2
        or not all(ratio for _, ratio in parts)
        or any(sign in name for name, _ in parts for sign in ":;=")
    ):
        return None
    return parts[0][0], parts[1][0], round(TWELVE * parts[1][1] / whole)


def _line(first: str, second: str, twelfths: int) -> str:
    """Return a line of two parts in twelfths; at either end only one is left."""
    if not twelfths:
        return f"1 {first}"
    if twelfths == TWELVE:
        return f"1 {second}"
    return f"{TWELVE - twelfths} {first} : {twelfths} {second}"


def _slid(slid: tuple[str, str, int] | None, by: int) -> int | None:
    if slid is None or not 0 < slid[2] + by < TWELVE:
        return None
    return slid[2] + by
