"""A session in words: what is on each piece, how long ago, what the recipe wants, what is still to say."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sprayout_library.session.counts import added
from sprayout_library.session.spraying import moment
from sprayout_library.session.tally import Piece, Seen, Tally

__all__ = ["companions", "dry_words", "piece_words", "session_data", "since_words"]

_DRY = {
    "touch": "dry to the touch", "matt": "matt", "tack-free": "tack-free", "time": "", "overnight": "left overnight",
}  # fmt: skip


def since_words(then: str | None, now: datetime) -> str:
    """Return how long ago a coat went on; a clock that was set back is told as such."""
    if then is None:
        return "no coat yet"
    seconds = int((now - moment(then)).total_seconds())
    if seconds < 0:
        return "its time lies ahead of this clock"
    if seconds < 60:
        return "just now"
    minutes, hours = seconds // 60, seconds // 3600
    return f"{minutes} min ago" if minutes < 120 else f"{hours} h {minutes % 60} min ago"


def dry_words(rule: Mapping[str, str] | None) -> str:
    """Return when the recipe lets the next coat follow; empty where it says nothing."""
    if not rule:
        return ""
    from sprayout_core.mix.bounds import told
    from sprayout_core.ratio import exact

    def minutes(member: str, word: str) -> str:
        return f"{word} {told(exact(rule[member]) / 60, 1)} min" if member in rule else ""

    parts = [_DRY[rule["until"]], minutes("at_least_s", "at least"), minutes("at_most_s", "at most")]
    return ", ".join(part for part in parts if part)


def piece_words(piece: Piece, tally: Tally) -> str:
    """Return what is on a piece beside what the recipe wants: "Kelp glass 3 of about 5"."""
    told = []
    for formula in dict.fromkeys([line.formula for line in tally.lines] + [one.formula for one in tally.cups.values()]):
        lines = [line for line in tally.lines if line.formula == formula]
        wanted = " and ".join(line.count for line in lines)
        names = [line.name for line in lines] + [cup.name for cup in tally.cups.values() if cup.formula == formula]
        name = names[0]
        count = piece.count_of(formula, tally.cups) or "0"
        if wanted == "until covered":
            state = "covered" if piece.covered else "not said to be covered yet"
            told.append(f"{name} {count}, until covered ({state})")
        else:
            told.append(f"{name} {count} of {wanted}" if wanted else f"{name} {count}")
    return "; ".join(told)


def companions(tally: Tally) -> list[tuple[str, str]]:
    """Return (curved piece, words for a flat card to go with it) for each curved piece that has none over its ground.

    A curved piece cannot be measured flat and shows every angle at once: a flat card sprayed along tells its colour.
    """
    flat = {(piece.ground["id"]) for piece in tally.pieces.values() if piece.shape == "flat" and not piece.off}
    return [
        (piece.name, f"{piece.name}F over {piece.ground_name}, flat, for {piece.name}")
        for piece in tally.on_stand()
        if piece.shape == "curved" and piece.ground["id"] not in flat
    ]


def session_data(tally: Tally) -> dict[str, Any]:
    """Return a session as plain members for JSON: cups, pieces, and the coats on each with their times."""
    return {
        "session": tally.session,
        "recipe": tally.recipe,
        "state": tally.state,
        "begun": tally.begun,
        "last_coat": tally.last_coat(),
        "cups": [{"label": cup.label, "batch": cup.batch, "formula": cup.formula} for cup in tally.cups.values()],
        "pieces": [_piece_data(piece, tally) for piece in tally.pieces.values()],
        "seen": [_seen_data(one) for one in tally.seen],
    }


def _piece_data(piece: Piece, tally: Tally) -> dict[str, Any]:
    return {
        "name": piece.name,
        "ground": piece.ground["id"],
        "shape": piece.shape,
        "companion_of": piece.companion_of,
        "coats": [{"cup": run.cup, "formula": tally.cups[run.cup].formula, "count": run.count, "laid": run.laid,
                   "times": list(run.times)} for run in piece.runs],
        "covered": piece.covered,
        "off": piece.off,
        "last": piece.last,
    }  # fmt: skip


def _seen_data(seen: Seen) -> dict[str, Any]:
    facts = {name: value for name, value in seen.facts.items() if name != "thumbnail"}
    coats = {name: added(counts) for name, counts in seen.coats.items()}
    return {"kind": seen.kind, "at": seen.at, "told": seen.told, "coats": coats, **facts}
