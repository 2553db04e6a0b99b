"""Spray: the tally, tapped coat by coat; every tap is on the disk before the page comes back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sprayout_core.documents import Batch, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.by_eye import LIGHTS, QUALITIES, judged, pictured
from sprayout_library.hub.pages.today import cups_of, running
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit
from sprayout_library.record.cups import Shelf
from sprayout_library.session import Session
from sprayout_library.session.tally import Piece, Tally

__all__ = ["new", "session", "spray", "start", "tap"]

#: Rows for pieces on the page that begins a session; more are added while spraying.
ROWS = 6
_LAID = ("mist", "medium", "wet")
#: What may be a ground where a recipe names none.
_GROUNDS = ("metallic", "solid", "sealer")


@dataclass(frozen=True, slots=True)
class Stood:
    """A piece on the stand as it is shown: its coats in words and as pips, and when the last one went on."""

    piece: Piece
    words: str
    pips: tuple[str, ...]
    since: str
    wanted: int


def spray(visit: Visit) -> Reply:
    """Show what runs; where one session runs, that one."""
    found = running(visit)
    if len(found) == 1 and not visit.asked.said("all"):
        return visit.go(f"/spray/{found[0].tally.session}")
    recipes = [entry for entry in visit.names.of_kind("recipe") if not entry.withdrawn]
    return Reply("spray.html", {"sessions": found, "recipes": recipes})


def new(visit: Visit) -> Reply:
    """Show the form that begins a session: a recipe, the cups that fit it, the pieces."""
    recipe = _recipe(visit)
    wanted = {coat.formula for _, coat in recipe.coats_in_order()}
    grounds = list(dict.fromkeys(one.id for one in (recipe.grounds or {}).values()))
    if not grounds:
        grounds = [entry.id for entry in visit.names.of_kind("material") if entry.role in _GROUNDS]
    cups = cups_of(visit)
    rows = [
        {
            "name": visit.asked.said(f"piece-{place}"),
            "ground": visit.asked.said(f"ground-{place}"),
            "shape": visit.asked.said(f"shape-{place}", "flat"),
        }
        for place in range(1, ROWS + 1)
    ]
    shown = {
        "recipe": recipe,
        "coats": [coat for _, coat in recipe.coats_in_order()],
        "cups": [cup for cup in cups if cup.formula in wanted],
        "chosen": visit.asked.all("cup"),
        "grounds": grounds,
        "rows": rows,
        "next_code": _next_code(visit),
    }
    return Reply("spray_new.html", shown)


def _next_code(visit: Visit) -> str:
    """Return a code for a piece that nothing here goes by yet."""
    taken = {entry.label.casefold() for entry in visit.names.entries.values() if entry.label}
    return next(f"P{number}" for number in range(1, 100_000) if f"p{number}" not in taken)


def _recipe(visit: Visit) -> Recipe:
    found = visit.store.get(visit.asked.said("recipe"))
    if not isinstance(found, Recipe):
        raise NotThere("which recipe?", "Choose one of this library.")
    return found


def start(visit: Visit) -> Reply:
    """Begin a session."""
    from sprayout_library.session import begin, open_sessions, start_tap
    from sprayout_library.today.sheets import library_ids

    recipe, writer, libraries, shelf = _recipe(visit), visit.writer(), library_ids(visit.store), Shelf(visit.store)
    batches = [batch for key in visit.asked.all("cup") if isinstance(batch := visit.store.get(key), Batch)]
    first = start_tap(recipe, libraries[0], writer.fresh_id(), shelf, visit.names, batches, _piece_words(visit))
    for other in open_sessions(*libraries):
        taken = {name.casefold() for name in other.tally.pieces}
        for piece in first["pieces"]:
            if piece["name"].casefold() in taken:
                raise SprayoutError(
                    f"{piece['name']!r} is on the stand in {other.tally.recipe_name}",
                    "Give each piece a code of its own.",
                )
    found = begin(first, visit.at, writer.by)
    return visit.go(f"/spray/{found.tally.session}")


def _piece_words(visit: Visit) -> list[str]:
    found = []
    for place in range(1, ROWS + 1):
        name, ground = visit.asked.said(f"piece-{place}"), visit.asked.said(f"ground-{place}")
        if name:
            found.append(_one_piece(name, ground, visit.asked.said(f"shape-{place}", "flat")))
    return found


def _one_piece(name: str, ground: str, shape: str) -> str:
    if " over " in f" {name} ".casefold():
        raise SprayoutError(f"{name!r} is no code for a piece", "Leave out the word over: the ground stands beside it.")
    return f"{name} over {ground}, {'curved' if shape == 'curved' else 'flat'}"


def _session(visit: Visit) -> Session:
    wanted = visit.asked.parts["session"]
    found = next((one for one in running(visit) if one.tally.session == wanted), None)
    if found is None:
        raise NotThere("this session does not run any more", "Its panels hang on the wall, unless it was given up.")
    return found


def session(visit: Visit) -> Reply:
    """Show the tally of one session."""
    from sprayout_library.session import companions, dry_words
    from sprayout_library.today.cautions import spraying_cautions

    found = _session(visit)
    tally = found.tally
    shelf = Shelf(visit.store)
    batches = [batch for cup in tally.cups.values() if (batch := shelf.batches.get(cup.batch)) is not None]
    recipe = visit.store.get(tally.recipe)
    grounds = [one.id for one in (recipe.grounds or {}).values()] if isinstance(recipe, Recipe) else []
    shown = {
        "tally": tally,
        "lines": [(line, dry_words(line.dry)) for line in tally.lines],
        "stood": [_stood(piece, tally, visit) for piece in tally.on_stand()],
        "off": [piece for piece in tally.pieces.values() if piece.off],
        "companions": companions(tally),
        "grounds": list(dict.fromkeys(grounds or [piece.ground["id"] for piece in tally.pieces.values()])),
        "cautions": spraying_cautions(batches, recipe if isinstance(recipe, Recipe) else None, shelf),
        "until_covered": any(line.count == "until covered" for line in tally.lines),
        "laid": _LAID,
        "qualities": QUALITIES,
        "lights": LIGHTS,
        "seen": [one.told for one in tally.seen],
        "others": len(running(visit)) - 1,
    }
    return Reply("session.html", shown)


def _stood(piece: Piece, tally: Tally, visit: Visit) -> Stood:
    from sprayout_library.session import piece_words, since_words

    pips = tuple(run.laid or "plain" for run in piece.runs for _ in run.counts)
    wanted = max((_most(line.count) for line in tally.lines), default=0)
    return Stood(piece, piece_words(piece, tally), pips, since_words(piece.last, visit.now), max(wanted - len(pips), 0))


def _most(count: str) -> int:
    digits = count.removeprefix("about ").partition(" to ")
    last = digits[2] or digits[0]
    return int(last) if last.isdecimal() else 0


def tap(visit: Visit) -> Reply:
    """Keep one tap: a coat on all or on these, covered, off the stand, a remark, one more piece, undo, the end."""
    found = _session(visit)
    visit.writer()
    given, asked = visit.asked.said("taps"), visit.asked
    if given != str(found.tally.taps):
        raise SprayoutError(
            "something was tapped in between, so this tap was not kept",
            "Look at the coats below: they are as they stand now. Tap again if it is still wanted.",
        )
    does = asked.said("do")
    if does not in _TAPS:
        raise SprayoutError("nothing was tapped", "Use one of the buttons.")
    _TAPS[does](visit, found)
    if found.tally.state in ("finished", "given up"):
        return visit.go("/look?order=new" if found.tally.state == "finished" else "/spray")
    return visit.go(f"/spray/{found.tally.session}")


def _chosen(visit: Visit) -> list[str]:
    pieces = visit.asked.all("piece")
    if not pieces:
        raise SprayoutError("on which pieces?", "Tap the pieces first, or use the button for all.")
    return pieces


def _coat(visit: Visit, found: Session, pieces: list[str]) -> None:
    asked = visit.asked
    laid = asked.said("laid")
    found.coat(pieces, visit.at, asked.said("cup") or None, laid if laid in _LAID else None, asked.said("count", "1"))


def _note(visit: Visit, found: Session) -> None:
    words = visit.asked.said("words")
    if not words or len(words) > 2000:
        raise SprayoutError("a remark of nothing, or a very long one", "Say it in up to 2000 letters.")
    found.mark("note", _chosen(visit), visit.at, words)


def _piece(visit: Visit, found: Session) -> None:
    from sprayout_library.session import piece_tap

    recipe, asked = visit.store.get(found.tally.recipe), visit.asked
    if not isinstance(recipe, Recipe):
        raise SprayoutError("the recipe is not here any more", "Bring it back into use.")
    words = _one_piece(asked.said("new-piece") or "?", asked.said("new-ground"), asked.said("new-shape", "flat"))
    if of := asked.said("new-for"):
        words += f", for {of}"
    made = piece_tap(words, recipe, visit.names, list(found.tally.pieces))
    found.tap({"tap": "piece", "piece": made}, visit.at)


def _finish(visit: Visit, found: Session) -> None:
    from sprayout_library.session import Last, finish

    asked = visit.asked
    stage = asked.said("stage", "bare")
    if stage not in ("bare", "cleared", "polished"):
        raise SprayoutError("which stage?", "Bare, cleared or polished.")
    used = {label: amount for label in found.tally.cups if (amount := asked.said(f"used-{label}"))}
    air = {name: value for name, low, high in (("air_degc", -30, 60), ("humidity_percent", 0, 100))
           if (value := _number(asked.said(name), low, high)) is not None}  # fmt: skip
    finish(found, visit.store, visit.writer(), Last(stage, air or None, used or None))


def _number(text: str, low: float, high: float) -> float | None:
    if not text:
        return None
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise SprayoutError(f"{text!r} is no such number", f"Give {low:g} to {high:g}, or leave it out.")
    return value


_TAPS: dict[str, Any] = {
    "all": lambda visit, found: _coat(visit, found, ["all"]),
    "these": lambda visit, found: _coat(visit, found, _chosen(visit)),
    "covered": lambda visit, found: found.mark("covered", _chosen(visit), visit.at),
    "off": lambda visit, found: found.mark("off", _chosen(visit), visit.at),
    "undo": lambda visit, found: found.undo(visit.at),
    "note": _note,
    "order": judged,
    "pair": judged,
    "shot": pictured,
    "piece": _piece,
    "finish": _finish,
    "give-up": lambda visit, found: found.give_up(visit.at),
}
